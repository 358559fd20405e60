namespace KitMesh.Footage.Manifests;

/// <summary>Compares a file's hashes with what a history says of it.</summary>
public static class MhlComparison
{
    /// <summary>Hashes that a file may be compared with: the latest of each format that is original or verified, over all generations.</summary>
    /// <param name="generations">The generations, oldest first.</param>
    /// <remarks>A failed hash is never a basis (Specification v1.0, section on verification).</remarks>
    public static IReadOnlyDictionary<string, IReadOnlyDictionary<string, string>> Basis(IEnumerable<MhlManifest> generations)
    {
        Dictionary<string, IReadOnlyDictionary<string, string>> files = new(StringComparer.Ordinal);
        foreach (MhlEntry entry in generations.SelectMany(generation => generation.Entries))
        {
            var hashes = files.TryGetValue(entry.Path, out IReadOnlyDictionary<string, string>? known)
                ? new Dictionary<string, string>(known, StringComparer.Ordinal)
                : new Dictionary<string, string>(StringComparer.Ordinal);
            if (entry.PreviousPath is { } previous && files.Remove(previous, out IReadOnlyDictionary<string, string>? moved))
            {
                foreach ((string format, string value) in moved)
                {
                    hashes.TryAdd(format, value);
                }
            }

            foreach (MhlHash hash in entry.Hashes.Where(hash => hash.Action is not MhlAction.Failed))
            {
                hashes[hash.Format] = hash.Value;
            }

            files[entry.Path] = hashes;
        }

        return files;
    }

    /// <summary>Whether a file's hashes agree with the basis.</summary>
    /// <param name="basis">What a history says of the file, by format.</param>
    /// <param name="found">What was found, by format.</param>
    /// <returns>True or false; null when there is no format in common.</returns>
    public static bool? Agree(IReadOnlyDictionary<string, string> basis, IReadOnlyDictionary<string, string> found)
    {
        bool any = false;
        foreach ((string format, string value) in found)
        {
            if (basis.TryGetValue(format, out string? expected))
            {
                any = true;

                // Hexadecimal digits may be of either case; base 58 tells them apart.
                StringComparison comparison = format == "c4" ? StringComparison.Ordinal : StringComparison.OrdinalIgnoreCase;
                if (!string.Equals(expected, value, comparison))
                {
                    return false;
                }
            }
        }

        return any ? true : null;
    }
}
