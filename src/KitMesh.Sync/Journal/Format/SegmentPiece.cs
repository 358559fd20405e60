namespace KitMesh.Sync.Journal.Format;

/// <summary>A stretch of a segment: a sound frame, or bytes that are none.</summary>
/// <param name="Offset">Where it begins in the segment.</param>
/// <param name="Length">How long it is.</param>
/// <param name="Frame">The frame; null for damage.</param>
internal readonly record struct SegmentPiece(long Offset, long Length, Frame? Frame)
{
    internal long End => Offset + Length;
}
