using KitMesh.Domain.Quantities;
using NodaTime;

namespace KitMesh.Domain.Reports;

/// <summary>A media file was read from a card, whole, and hashed.</summary>
/// <param name="Clip">Hash of its content: what the clip is.</param>
/// <param name="Card">The card.</param>
/// <param name="Insertion">The visit of the card, from <see cref="CardSeen"/>.</param>
/// <param name="Path">Path on the card, with '/' between its parts.</param>
/// <param name="Size">Bytes.</param>
/// <param name="Source">The camera or recorder, where known.</param>
/// <param name="Recorded">When the recording began by the camera's own clock, where the file tells.</param>
/// <param name="Length">How long it runs, where the file tells.</param>
/// <param name="Damage">What is wrong with the file's structure, in words; null when sound or not examined.</param>
public sealed record ClipFound(
    ClipHash Clip,
    KitId Card,
    KitId Insertion,
    string Path,
    ByteCount Size,
    KitId? Source,
    Instant? Recorded,
    Duration? Length,
    string? Damage) : ReportBody
{
    /// <summary>Timecode of its start, as time since midnight to the second; null when the file has none. Stations of before wrote none.</summary>
    public Duration? Timecode { get; init; }

    /// <inheritdoc/>
    public override ReportKind Kind => ReportKind.ClipFound;
}
