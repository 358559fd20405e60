using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using NodaTime;

namespace KitMesh.Domain.Results;

/// <summary>One clip with its copies, as the ledger shows it.</summary>
/// <param name="Clip">Hash of its content.</param>
/// <param name="Path">Path on the card at its first sighting.</param>
/// <param name="Card">The card it was first seen on.</param>
/// <param name="Insertion">The visit of that card.</param>
/// <param name="Source">The camera or recorder, where known.</param>
/// <param name="Team">Whose source it is, where declared.</param>
/// <param name="Day">Civil day of the recording; the day it was found when the camera's clock cannot be right.</param>
/// <param name="Recorded">When the recording began by the camera's own clock, where the file tells.</param>
/// <param name="Length">How long it runs, where the file tells.</param>
/// <param name="Size">Bytes.</param>
/// <param name="Damage">What is wrong with the file itself; null when sound or not examined.</param>
/// <param name="Copies">Every copy ever reported, by drive and path.</param>
/// <param name="ProvenCopies">Copies that count.</param>
/// <param name="ProvenDrives">Different drives that hold them.</param>
/// <param name="ProvenCases">Different declared cases that hold those drives.</param>
/// <param name="MeetsRule">Whether the copy rule is met.</param>
/// <param name="Missing">What is missing under the rule, in words; null when met.</param>
public sealed record ClipRow(
    ClipHash Clip,
    string Path,
    KitId Card,
    KitId Insertion,
    KitId? Source,
    KitId? Team,
    LocalDate Day,
    Instant? Recorded,
    Duration? Length,
    ByteCount Size,
    string? Damage,
    ValueList<CopyRow> Copies,
    int ProvenCopies,
    int ProvenDrives,
    int ProvenCases,
    bool MeetsRule,
    string? Missing)
{
    /// <summary>Timecode of its start, as time since midnight; null when the file has none.</summary>
    public Duration? Timecode { get; init; }
}
