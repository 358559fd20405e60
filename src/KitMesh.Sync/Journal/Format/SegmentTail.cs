namespace KitMesh.Sync.Journal.Format;

/// <summary>Decides where the newest segment ends after a power cut or a kill.</summary>
/// <remarks>
/// <para>
/// Problem: the last group commit may be torn: some of its 4 KiB pages arrived, others did not, in any order. It was
/// never acknowledged, so it may go. But a broken frame can also be rot in something acknowledged long ago, and cutting
/// there would throw away every good frame after it.
/// </para>
/// <para>
/// Method: commits are synced one after the other, so a sound frame of commit g proves that every commit before g had
/// been on the medium. Each frame tells how far back its commit begins. If all that is broken lies inside the last
/// commit seen, it was torn: cut at the first broken byte. If not, what lies before that commit is damage: it is
/// reported, its place is kept, and the frames after it stay. When nothing sound follows, the end is cut: rot in the
/// very last commit cannot be told from a torn write.
/// </para>
/// </remarks>
internal static class SegmentTail
{
    /// <summary>The length up to which the segment counts.</summary>
    internal static long SoundLength(IReadOnlyList<SegmentPiece> pieces)
    {
        int last = pieces.Count - 1;
        while (last >= 0 && pieces[last].Frame is null)
        {
            last--;
        }

        if (last < 0)
        {
            return 0;
        }

        Frame final = pieces[last].Frame!.Value;
        long commitStart = final.Offset - final.Back;
        foreach (SegmentPiece piece in pieces.Take(last))
        {
            if (piece.Frame is null && piece.Offset >= commitStart)
            {
                return piece.Offset;
            }
        }

        return pieces[last].End;
    }
}
