namespace KitMesh.Domain.Reports;

/// <summary>A hub took reports from the node that wrote them, in a call with that node's certificate. It counts on that hub alone.</summary>
/// <param name="Origin">The writer's origin.</param>
/// <param name="First">The first sequence.</param>
/// <param name="Last">The last sequence.</param>
/// <param name="Contents">What it took: SHA-256 over every (sequence, 8 bytes big-endian ‖ content hash), sorted.</param>
public sealed record TakenDirectly(OriginId Origin, ulong First, ulong Last, Sha256Hash Contents) : ReportBody
{
    /// <inheritdoc/>
    public override ReportKind Kind => ReportKind.TakenDirectly;
}
