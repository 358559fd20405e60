using KitMesh.Domain;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using NodaTime;

namespace KitMesh.Footage.Ledger;

/// <summary>Clips of one team's day that lie on the same drives: they share one fate.</summary>
/// <param name="Day">The day.</param>
/// <param name="Team">The team; null where the source is not declared.</param>
/// <param name="Drives">Drives with a copy of each that was read back well and not found bad since, by label.</param>
/// <param name="MadeDrives">Other drives with a copy of each that was only written, by label.</param>
/// <param name="Card">A card on hold that still has them; null without one.</param>
/// <param name="Clips">How many clips.</param>
/// <param name="Size">Their bytes.</param>
/// <param name="Length">Their running time, as far as the files tell.</param>
/// <param name="CopiesMissing">Bytes that the copy rules still ask to be written for them.</param>
/// <param name="Example">One of them.</param>
public sealed record HeldGroup(
    LocalDate Day,
    KitId? Team,
    ValueList<KitId> Drives,
    ValueList<KitId> MadeDrives,
    KitId? Card,
    int Clips,
    ByteCount Size,
    Duration Length,
    ByteCount CopiesMissing,
    ClipHash Example);
