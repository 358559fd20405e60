namespace KitMesh.Offload.Handover;

/// <summary>What a look through drives found of a handover.</summary>
/// <param name="Expected">The clips of the handover.</param>
/// <param name="Found">Files that are one of them, bytes read from the medium and hashed equal.</param>
/// <param name="Bad">Files that should be one and are not, or could not be read.</param>
/// <param name="Unknown">Files that the handover does not speak of.</param>
/// <param name="Stopped">True when it was stopped before the end.</param>
public sealed record HandoverOutcome(
    IReadOnlyList<ExpectedClip> Expected,
    IReadOnlyList<FoundCopy> Found,
    IReadOnlyList<BadFile> Bad,
    int Unknown,
    bool Stopped)
{
    /// <summary>Promised clips whose bytes are on none of the drives.</summary>
    public IReadOnlyList<ExpectedClip> Missing { get; } = Absent(Expected, Found, promised: true);

    /// <summary>Clips that the handover itself says are missing, and that were not found either.</summary>
    public IReadOnlyList<ExpectedClip> KnownMissing { get; } = Absent(Expected, Found, promised: false);

    /// <summary>Clips that were found at least once.</summary>
    public int Proven => Expected.Count - Missing.Count - KnownMissing.Count;

    /// <summary>Whether all that was promised is there and nothing is bad.</summary>
    public bool IsGood => !Stopped && Missing.Count == 0 && Bad.Count == 0;

    private static List<ExpectedClip> Absent(IReadOnlyList<ExpectedClip> expected, IReadOnlyList<FoundCopy> found, bool promised)
    {
        HashSet<Domain.Reports.ClipHash> there = [.. found.Select(copy => copy.Clip)];
        return [.. expected.Where(clip => clip.Promised == promised && !there.Contains(clip.Clip))];
    }
}
