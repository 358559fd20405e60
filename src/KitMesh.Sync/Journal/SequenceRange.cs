namespace KitMesh.Sync.Journal;

/// <summary>Sequences of one origin from a first to a last, both included.</summary>
/// <param name="First">The first, at least 1.</param>
/// <param name="Last">The last, at least <paramref name="First"/>.</param>
public readonly record struct SequenceRange(ulong First, ulong Last)
{
    /// <summary>How many sequences.</summary>
    public ulong Count => Last - First + 1;

    /// <summary>Whether a sequence lies inside.</summary>
    /// <param name="sequence">The sequence.</param>
    public bool Contains(ulong sequence) => sequence >= First && sequence <= Last;

    /// <summary>"first-last".</summary>
    public override string ToString() => $"{First}-{Last}";
}
