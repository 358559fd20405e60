using KitMesh.Domain.Reports;

namespace KitMesh.Footage.Ledger;

/// <summary>Every origin may prove and release: a mesh without enrolment, on one machine.</summary>
public sealed class EveryWriter : IWriterRights
{
    /// <summary>The one instance.</summary>
    public static readonly EveryWriter Instance = new();

    private EveryWriter()
    {
    }

    /// <inheritdoc/>
    public bool MayProve(ReportKey report) => true;

    /// <inheritdoc/>
    public bool MayRelease(ReportKey report) => true;
}
