namespace KitMesh.Sync.Journal.Format;

/// <summary>Splits bytes of a segment into frames and damage, in order and without a gap.</summary>
/// <remarks>
/// After a broken frame it looks for the next place where a sound frame begins. A false find would need a magic and a
/// 64-bit check that is tied to its place, so an island found is an island written.
/// </remarks>
internal static class SegmentWalk
{
    /// <param name="bytes">The bytes, beginning where a frame should begin.</param>
    /// <param name="segment">The segment's number.</param>
    /// <param name="start">Where the bytes begin in the segment.</param>
    /// <param name="newerAt">Where a frame of newer software begins, or -1; the walk ends before it.</param>
    internal static List<SegmentPiece> Split(ReadOnlyMemory<byte> bytes, ulong segment, long start, out long newerAt)
    {
        var pieces = new List<SegmentPiece>();
        newerAt = -1;
        int at = 0;
        while (at < bytes.Length)
        {
            FrameVerdict verdict = FrameCodec.Read(bytes[at..], segment, start + at, out Frame frame);
            if (verdict == FrameVerdict.Newer)
            {
                newerAt = start + at;
                return pieces;
            }

            int end = verdict == FrameVerdict.Sound ? at + frame.Length : NextFrame(bytes, segment, start, at + 1);
            pieces.Add(new SegmentPiece(start + at, end - at, verdict == FrameVerdict.Sound ? frame : null));
            at = end;
        }

        return pieces;
    }

    private static int NextFrame(ReadOnlyMemory<byte> bytes, ulong segment, long start, int from)
    {
        while (true)
        {
            int found = bytes.Span[from..].IndexOf(FrameCodec.Magic);
            if (found < 0)
            {
                return bytes.Length;
            }

            from += found;
            if (FrameCodec.Read(bytes[from..], segment, start + from, out _) != FrameVerdict.Broken)
            {
                return from;
            }

            from++;
        }
    }
}
