using KitMesh.Domain;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using NodaTime;

namespace KitMesh.Footage.Ledger;

/// <summary>One drive as risk and runway see it.</summary>
/// <param name="Drive">The label.</param>
/// <param name="Case">The outermost declared case that it is in; null when it is in none.</param>
/// <param name="Chain">What holds it, from the inside out: cases, then person, team, place.</param>
/// <param name="AnnualFailureRate">As declared; null when it is not declared or 0.</param>
/// <param name="Batch">As declared.</param>
/// <param name="Capacity">Size of its file system; null when not known.</param>
/// <param name="Free">Bytes free; null when not known.</param>
/// <param name="OldestProof">The oldest last proof among its copies; null when it holds none.</param>
/// <param name="Health">What it says of its health.</param>
/// <param name="CanTakeCopies">Whether copies may go to it: declared, and no doubt about which drive it is.</param>
public sealed record HeldDrive(
    KitId Drive,
    KitId? Case,
    ValueList<KitId> Chain,
    double? AnnualFailureRate,
    KitId? Batch,
    ByteCount? Capacity,
    ByteCount? Free,
    Instant? OldestProof,
    DriveHealth Health,
    bool CanTakeCopies)
{
    /// <summary>What moving a gigabyte to or from it costs, as a station measured it; null when nobody did.</summary>
    public JoulesPerGigabyte? MoveCost { get; init; }
}
