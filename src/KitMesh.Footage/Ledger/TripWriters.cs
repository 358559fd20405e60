using KitMesh.Domain.Kit;
using KitMesh.Domain.Reports;

namespace KitMesh.Footage.Ledger;

/// <summary>
/// Whose word counts by what the trip file declares, on top of what certificates allow.
/// </summary>
/// <remarks>
/// As soon as one agent may report copies, only those do; the same for releases. A trip that names nobody trusts
/// everybody, as on one machine. The trip file comes as reports, so every hub with the same reports trusts the same
/// writers. A right is a node's: an origin is a node and an epoch, and a new epoch is no new person.
/// </remarks>
internal sealed class TripWriters : IWriterRights
{
    private readonly IWriterRights _certified;
    private readonly HashSet<NodeId> _mayReport;
    private readonly HashSet<NodeId> _mayRelease;

    public TripWriters(KitView kit, IWriterRights certified)
    {
        _certified = certified;
        _mayReport = [.. kit.Items<WatchedAgent>().Where(agent => agent.MayReportCopies).Select(agent => agent.Node)];
        _mayRelease = [.. kit.Items<WatchedAgent>().Where(agent => agent.MayRelease).Select(agent => agent.Node)];
    }

    /// <summary>Whether everybody's word about copies counts, so that nobody need be asked.</summary>
    public bool TrustsEveryStation => _certified is EveryWriter && _mayReport.Count == 0;

    /// <inheritdoc/>
    public bool MayProve(ReportKey report) =>
        (_mayReport.Count == 0 || _mayReport.Contains(report.Origin.Node)) && _certified.MayProve(report);

    /// <inheritdoc/>
    public bool IsAttested(ReportKey report) => _certified.IsAttested(report);

    /// <inheritdoc/>
    public bool MayRelease(ReportKey report) =>
        (_mayRelease.Count == 0 || _mayRelease.Contains(report.Origin.Node)) && _certified.MayRelease(report);
}
