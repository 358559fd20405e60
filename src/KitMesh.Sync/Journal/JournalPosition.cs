namespace KitMesh.Sync.Journal;

/// <summary>A place in a journal, for a view that wants to go on from where it stopped.</summary>
/// <param name="Segment">The segment's number, from 1.</param>
/// <param name="Offset">The offset in the segment's uncompressed bytes.</param>
/// <remarks>Positions only mean something in the journal that gave them; a view keeps <see cref="IJournalView.JournalId"/> beside it.</remarks>
public readonly record struct JournalPosition(ulong Segment, long Offset) : IComparable<JournalPosition>
{
    /// <summary>The beginning of whatever the journal still keeps.</summary>
    public static JournalPosition Start => default;

    /// <inheritdoc/>
    public int CompareTo(JournalPosition other)
    {
        int bySegment = Segment.CompareTo(other.Segment);
        return bySegment != 0 ? bySegment : Offset.CompareTo(other.Offset);
    }
}
