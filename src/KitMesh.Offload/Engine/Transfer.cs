using KitMesh.Domain.Reports;
using KitMesh.Footage.Clips;
using KitMesh.Offload.Cards;

namespace KitMesh.Offload.Engine;

/// <summary>One file on its way from the card.</summary>
internal sealed class Transfer(int index, CardFile file, string place)
{
    private readonly TaskCompletionSource<ClipDigest?> _digest = new(TaskCreationOptions.RunContinuationsAsynchronously);

    /// <summary>Its number among the card's files.</summary>
    public int Index { get; } = index;

    /// <summary>The file.</summary>
    public CardFile File { get; } = file;

    /// <summary>Where the template puts it on every drive.</summary>
    public string Place { get; } = place;

    /// <summary>Print over the file's samples, once it was asked for.</summary>
    public ClipHash? Print { get; set; }

    /// <summary>What the file tells of itself.</summary>
    public ClipStructure Structure { get; set; } = ClipStructure.Unknown;

    /// <summary>What the read gave; null when the card could not be read to the end. Set before any drive is told that the file ended.</summary>
    public ClipDigest? Digest => _digest.Task.GetAwaiter().GetResult();

    /// <summary>Says what the read gave.</summary>
    /// <param name="digest">The digest; null when the read failed.</param>
    public void SetDigest(ClipDigest? digest) => _digest.TrySetResult(digest);
}
