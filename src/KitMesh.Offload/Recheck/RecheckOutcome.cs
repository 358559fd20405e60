using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;

namespace KitMesh.Offload.Recheck;

/// <summary>What a recheck of a drive came to.</summary>
/// <param name="Drive">The drive.</param>
/// <param name="Copies">Each copy in its list that was looked at.</param>
/// <param name="Unlisted">Files on the drive that its list does not know: not copied by KitMesh, or not proven.</param>
/// <param name="Stopped">True when it was stopped before the end.</param>
public sealed record RecheckOutcome(KitId Drive, IReadOnlyList<RecheckedCopy> Copies, int Unlisted, bool Stopped)
{
    /// <summary>Sizes of the copies that were due and did not fit into what might be read.</summary>
    public IReadOnlyList<ByteCount> Left { get; init; } = [];

    /// <summary>How the drive fell silent, as the end of a sentence; null when it answered to the end.</summary>
    public string? Silence { get; init; }

    /// <summary>How many copies were found good at each level.</summary>
    public IReadOnlyDictionary<ReadBackLevel, int> Levels => Copies
        .Where(copy => copy.Failure is null && copy.Level is not null)
        .GroupBy(copy => copy.Level!.Value)
        .OrderBy(group => group.Key)
        .ToDictionary(group => group.Key, group => group.Count());

    /// <summary>Copies that are good, repaired ones among them.</summary>
    public int Good => Copies.Count(copy => copy.Failure is null || copy.Repaired);

    /// <summary>Copies that are not good.</summary>
    public int Bad => Copies.Count - Good;

    /// <summary>Bytes of all copies that were looked at.</summary>
    public ByteCount Bytes => new(Copies.Sum(copy => copy.Size.Value));
}
