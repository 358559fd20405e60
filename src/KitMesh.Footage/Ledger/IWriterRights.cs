using KitMesh.Domain.Reports;

namespace KitMesh.Footage.Ledger;

/// <summary>Whose word counts. What an origin without the right wrote is kept and shown and proves nothing.</summary>
public interface IWriterRights
{
    /// <summary>Whether this report may prove a copy (its origin is a station that is not revoked at that sequence).</summary>
    /// <param name="report">The report.</param>
    bool MayProve(ReportKey report);

    /// <summary>Whether this report is certainly of the node that it names. What is not proves nothing, until a seal of its writer covers it.</summary>
    /// <param name="report">The report.</param>
    bool IsAttested(ReportKey report) => true;

    /// <summary>Whether this report may release a card against the rule (its origin is a keeper's).</summary>
    /// <param name="report">The report.</param>
    bool MayRelease(ReportKey report);

    /// <summary>Whether this report may declare kit and rules (its origin is a keeper's or a hub's): who could loosen the rule could release.</summary>
    /// <param name="report">The report.</param>
    bool MayDeclare(ReportKey report) => MayRelease(report);
}
