using KitMesh.Domain;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using NodaTime;

namespace KitMesh.Export.Handover;

/// <summary>One clip in an inventory.</summary>
/// <param name="Xxh128">XXH3-128 of its bytes: what the clip is.</param>
/// <param name="Path">Path on the card.</param>
/// <param name="Card">The card it was first seen on.</param>
/// <param name="Source">The camera or recorder.</param>
/// <param name="Team">Its team.</param>
/// <param name="Day">Civil day of the recording.</param>
/// <param name="Recorded">When it began by the camera's own clock, where the file tells.</param>
/// <param name="Length">How long it runs, where the file tells.</param>
/// <param name="Size">Bytes.</param>
/// <param name="Damage">What is wrong with the file itself; null when sound or not examined.</param>
/// <param name="Copies">Every copy.</param>
/// <param name="MeetsRule">Whether its copy rule is met.</param>
/// <param name="Missing">What is missing under the rule; null when it is met.</param>
public sealed record InventoryClip(
    ClipHash Xxh128,
    string Path,
    KitId Card,
    KitId? Source,
    KitId? Team,
    LocalDate Day,
    Instant? Recorded,
    Duration? Length,
    ByteCount Size,
    string? Damage,
    ValueList<InventoryCopy> Copies,
    bool MeetsRule,
    string? Missing)
{
    /// <summary>Timecode of its start, as time since midnight; null when the file has none.</summary>
    public Duration? Timecode { get; init; }

    /// <summary>Whether something good of it is handed over.</summary>
    public bool HasGoodCopy => Copies.Any(copy => copy.IsGood);
}
