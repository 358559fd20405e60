using System.Text;
using KitMesh.Disk.Media;
using KitMesh.Footage.Manifests;
using KitMesh.Offload.Cards;
using KitMesh.Offload.Hashing;

namespace KitMesh.Offload.Handover;

/// <summary>Proves a bag (RFC 8493): complete, and every hash as its manifests say. Writes nothing.</summary>
public static class BagCheck
{
    /// <summary>Whether a folder says that it is a bag.</summary>
    /// <param name="folder">The folder.</param>
    public static bool IsBag(string folder) => File.Exists($"{folder}/{BagItText.DeclarationFile}");

    /// <summary>Checks a bag. Blocks until it is done.</summary>
    /// <param name="folder">The bag.</param>
    /// <param name="progress">Told bytes done and bytes in all.</param>
    /// <param name="stop">Stops soon.</param>
    /// <exception cref="IOException">It cannot be read at all.</exception>
    public static BagOutcome Run(string folder, Action<long, long> progress, CancellationToken stop)
    {
        List<string> faults = [];
        if (BagItText.DeclarationFault(File.ReadAllText($"{folder}/{BagItText.DeclarationFile}")) is { } wrong)
        {
            faults.Add(wrong);
        }

        Dictionary<string, IReadOnlyList<BagItEntry>> manifests = Manifests(folder, BagItText.ManifestFile, faults);
        Dictionary<string, IReadOnlyList<BagItEntry>> tags = Manifests(folder, BagItText.TagManifestFile, faults);
        CardListing listing = CardLister.List(folder);
        faults.AddRange(listing.Unreadable.Select(remark => $"{remark.Path} cannot be looked at: {remark.Reason}"));
        CardFile[] payload = [.. listing.Files.Where(file => file.Path.StartsWith($"{BagItText.PayloadFolder}/", StringComparison.Ordinal))];
        long total = payload.Sum(file => file.Size);
        long done = 0;
        Dictionary<string, IReadOnlyDictionary<string, string>> found = new(StringComparer.Ordinal);
        using var reader = new MediumReader();
        try
        {
            foreach (CardFile file in payload)
            {
                Take(file, manifests.Keys, found, reader, bytes => progress(done += bytes, total), faults, stop);
            }
        }
        catch (OperationCanceledException)
        {
            return new BagOutcome(found.Count, done, faults, Stopped: true);
        }

        faults.AddRange(BagItJudgement.Of(manifests, found).Faults);
        faults.AddRange(TagFaults(folder, tags, reader, stop));
        if (Oxum(folder) is { } told && told != (total, payload.Length))
        {
            faults.Add($"bag-info.txt tells {told.Bytes} bytes in {told.Files} files; there are {total} in {payload.Length}");
        }

        return new BagOutcome(found.Count, total, faults, Stopped: false);
    }

    private static Dictionary<string, IReadOnlyList<BagItEntry>> Manifests(string folder, Func<string, string> name, List<string> faults)
    {
        Dictionary<string, IReadOnlyList<BagItEntry>> manifests = [];
        foreach (string algorithm in BagItText.Algorithms.Where(algorithm => File.Exists($"{folder}/{name(algorithm)}")))
        {
            if (BagItText.ParseManifest(File.ReadAllText($"{folder}/{name(algorithm)}"), out string wrong) is { } entries)
            {
                manifests.Add(algorithm, entries);
            }
            else
            {
                faults.Add($"{name(algorithm)}: {wrong}");
            }
        }

        return manifests;
    }

    private static void Take(
        CardFile file,
        IEnumerable<string> algorithms,
        Dictionary<string, IReadOnlyDictionary<string, string>> found,
        MediumReader reader,
        Action<long> progress,
        List<string> faults,
        CancellationToken stop)
    {
        try
        {
            found.Add(file.Path, Hashes(file.FullPath, algorithms, reader, progress, stop));
        }
        catch (MediaFault fault)
        {
            faults.Add($"{file.Shown} cannot be read: {fault.Message}");
        }
    }

    private static Dictionary<string, string> Hashes(string path, IEnumerable<string> algorithms, MediumReader reader, Action<long> progress, CancellationToken stop)
    {
        (string Name, RunningHash Hash)[] hashes = [.. algorithms.Select(name => (name, RunningHash.Create(Kind(name))))];
        try
        {
            reader.Read(
                path,
                piece =>
                {
                    foreach ((_, RunningHash hash) in hashes)
                    {
                        hash.Append(piece);
                    }

                    progress(piece.Length);
                },
                stop);
            return hashes.ToDictionary(hash => hash.Name, hash => hash.Hash.Finish());
        }
        finally
        {
            foreach ((_, RunningHash hash) in hashes)
            {
                hash.Dispose();
            }
        }
    }

    private static IEnumerable<string> TagFaults(
        string folder, Dictionary<string, IReadOnlyList<BagItEntry>> tags, MediumReader reader, CancellationToken stop)
    {
        foreach ((string algorithm, IReadOnlyList<BagItEntry> entries) in tags)
        {
            foreach (BagItEntry entry in entries)
            {
                string path = $"{folder}/{entry.Path}";
                if (!File.Exists(path))
                {
                    yield return $"{entry.Path} is in {BagItText.TagManifestFile(algorithm)} but not in the bag";
                }
                else if (Hashes(path, [algorithm], reader, static _ => { }, stop)[algorithm] != entry.Hash)
                {
                    yield return $"{entry.Path} was altered after the bag was made";
                }
            }
        }
    }

    private static (long Bytes, long Files)? Oxum(string folder) =>
        File.Exists($"{folder}/bag-info.txt") ? BagItText.Oxum(File.ReadAllText($"{folder}/bag-info.txt", Encoding.UTF8)) : null;

    private static HashKind Kind(string algorithm) => HashNames.TryParse(algorithm, out HashKind kind)
        ? kind
        : throw new ArgumentOutOfRangeException(nameof(algorithm), algorithm, "No such algorithm.");
}
