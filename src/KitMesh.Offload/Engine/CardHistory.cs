using KitMesh.Footage.Manifests;
using KitMesh.Offload.Cards;
using KitMesh.Offload.Drives;
using KitMesh.Offload.Hashing;

namespace KitMesh.Offload.Engine;

/// <summary>The ASC MHL history that a card comes with, if any: what was read off the card is compared with it.</summary>
internal sealed class CardHistory
{
    private readonly IReadOnlyDictionary<string, IReadOnlyDictionary<string, string>> _basis;

    private CardHistory(IReadOnlyDictionary<string, IReadOnlyDictionary<string, string>> basis, string? fault)
    {
        _basis = basis;
        Fault = fault;
    }

    /// <summary>What is wrong with the history itself; null when nothing is, or there is none.</summary>
    public string? Fault { get; }

    /// <summary>Hashes that must be taken so that every file has one in common with the history.</summary>
    public IEnumerable<HashKind> Needed => _basis.Values
        .Where(hashes => !hashes.ContainsKey(HashNames.Of(HashKind.Xxh128)))
        .Select(hashes => MhlManifest.Formats.LastOrDefault(format => hashes.ContainsKey(format) && HashNames.TryParse(format, out _)))
        .OfType<string>()
        .Distinct(StringComparer.Ordinal)
        .Select(format => HashNames.TryParse(format, out HashKind kind) ? kind : HashKind.Xxh128);

    /// <summary>Reads the history of a card.</summary>
    /// <param name="root">Where the card is mounted.</param>
    public static CardHistory Read(string root)
    {
        try
        {
            return MhlFolder.Read(root, out string wrong) is { } history
                ? new CardHistory(MhlComparison.Basis(history.Generations), null)
                : new CardHistory(MhlComparison.Basis([]), wrong);
        }
        catch (Exception fault) when (fault is IOException or UnauthorizedAccessException)
        {
            return new CardHistory(MhlComparison.Basis([]), fault.Message);
        }
    }

    /// <summary>Files that the history names and the card does not have.</summary>
    /// <param name="files">The card's files.</param>
    public IEnumerable<CardRemark> Missing(IReadOnlyList<CardFile> files)
    {
        HashSet<string> there = [.. files.Select(file => file.Shown)];
        return _basis.Keys
            .Where(path => !there.Contains(path))
            .Order(StringComparer.Ordinal)
            .Select(path => new CardRemark(path, "the card's own manifest names it, but it is not on the card"));
    }

    /// <summary>What is wrong with a file in the eyes of the history; null when nothing is, or it does not say.</summary>
    /// <param name="path">Its path on the card.</param>
    /// <param name="digest">What the read gave.</param>
    public string? Objection(string path, ClipDigest digest)
    {
        if (!_basis.TryGetValue(path, out IReadOnlyDictionary<string, string>? basis))
        {
            return null;
        }

        var found = digest.Others.ToDictionary(hash => HashNames.Of(hash.Kind), hash => hash.Text, StringComparer.Ordinal);
        found[HashNames.Of(HashKind.Xxh128)] = digest.Clip.ToString();
        return MhlComparison.Agree(basis, found) == false ? "it is not what the card's own manifest says: it changed on the card" : null;
    }
}
