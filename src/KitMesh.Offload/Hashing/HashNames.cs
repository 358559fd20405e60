using System.Diagnostics.CodeAnalysis;

namespace KitMesh.Offload.Hashing;

/// <summary>The word for each hash, as options, JSON and manifests spell it.</summary>
public static class HashNames
{
    private static readonly (string Name, HashKind Kind)[] All =
    [
        ("xxh128", HashKind.Xxh128),
        ("xxh64", HashKind.Xxh64),
        ("sha256", HashKind.Sha256),
        ("blake3", HashKind.Blake3),
        ("md5", HashKind.Md5),
        ("sha1", HashKind.Sha1),
        ("c4", HashKind.C4),
        ("sha512", HashKind.Sha512),
    ];

    /// <summary>Every name.</summary>
    public static IEnumerable<string> Names => All.Select(pair => pair.Name);

    /// <summary>The word for a hash.</summary>
    /// <param name="kind">The hash.</param>
    public static string Of(HashKind kind) => All.First(pair => pair.Kind == kind).Name;

    /// <summary>Reads the word for a hash.</summary>
    /// <param name="name">The word, in lower case.</param>
    /// <param name="kind">The hash when the word is one.</param>
    public static bool TryParse([NotNullWhen(true)] string? name, out HashKind kind)
    {
        foreach ((string known, HashKind value) in All)
        {
            if (known == name)
            {
                kind = value;
                return true;
            }
        }

        kind = default;
        return false;
    }
}
