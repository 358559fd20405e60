using System.Globalization;

namespace KitMesh.Footage.Manifests;

/// <summary>Whether a bag is complete and valid (RFC 8493, section 3): complete when every file is there and named, valid when every hash agrees as well.</summary>
/// <param name="Faults">What is wrong, in words; empty for a valid bag.</param>
/// <param name="Complete">Whether it is complete.</param>
public sealed record BagItJudgement(IReadOnlyList<string> Faults, bool Complete)
{
    /// <summary>Whether it is valid.</summary>
    public bool Valid => Complete && Faults.Count == 0;

    /// <summary>Judges a bag from its manifests and what was found on the medium.</summary>
    /// <param name="manifests">Payload manifests by algorithm.</param>
    /// <param name="found">Payload files by path from the bag's folder, with their hashes by algorithm.</param>
    public static BagItJudgement Of(
        IReadOnlyDictionary<string, IReadOnlyList<BagItEntry>> manifests,
        IReadOnlyDictionary<string, IReadOnlyDictionary<string, string>> found)
    {
        List<string> missing = [];
        List<string> wrong = [];
        if (manifests.Count == 0)
        {
            missing.Add("the bag has no payload manifest");
        }

        foreach ((string algorithm, IReadOnlyList<BagItEntry> entries) in manifests)
        {
            HashSet<string> named = [.. entries.Select(entry => entry.Path)];
            missing.AddRange(found.Keys.Where(path => !named.Contains(path)).Select(path => $"{path} is not in manifest-{algorithm}.txt"));
            foreach (BagItEntry entry in entries)
            {
                if (!found.TryGetValue(entry.Path, out IReadOnlyDictionary<string, string>? hashes))
                {
                    missing.Add($"{entry.Path} is in manifest-{algorithm}.txt but not in the bag");
                }
                else if (!hashes.TryGetValue(algorithm, out string? hash) || !string.Equals(hash, entry.Hash, StringComparison.OrdinalIgnoreCase))
                {
                    wrong.Add(string.Create(CultureInfo.InvariantCulture, $"{entry.Path}: {algorithm} is {hash ?? "not taken"}, the manifest says {entry.Hash}"));
                }
            }
        }

        return new BagItJudgement([.. missing, .. wrong], missing.Count == 0);
    }
}
