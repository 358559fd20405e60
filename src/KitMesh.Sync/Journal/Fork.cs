namespace KitMesh.Sync.Journal;

/// <summary>A report kept beside an earlier one of the same key: somebody restored a disk, or somebody lies.</summary>
/// <param name="Sequence">The sequence both claim.</param>
/// <param name="Content">The content hash of the later one.</param>
public readonly record struct Fork(ulong Sequence, ContentHash Content) : IComparable<Fork>
{
    /// <inheritdoc/>
    public int CompareTo(Fork other)
    {
        int bySequence = Sequence.CompareTo(other.Sequence);
        return bySequence != 0 ? bySequence : Content.CompareTo(other.Content);
    }
}
