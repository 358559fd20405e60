using System.IO.Hashing;
using System.Security.Cryptography;
using System.Text;
using KitMesh.Disk.Media;
using KitMesh.Domain.Reports;
using KitMesh.Footage.Manifests;

namespace KitMesh.Offload.Handover;

// The problem: an archive wants footage in one folder that proves itself (BagIt, RFC 8493). The traps: a bag that was cut
// off must not look like one; a source may be rotten; bytes in the cache are no bytes on the medium. The method: copy each
// clip from the first drive whose bytes hash to what the card said, with SHA-512 taken in the same read; flush; read the
// new file back from the medium; write manifests and, last of all, the declaration that makes the folder a bag.

/// <summary>Makes a bag out of clips on drives.</summary>
public static class BagMaker
{
    private const string Algorithm = "sha512";

    /// <summary>Makes the bag. Blocks until it is done.</summary>
    /// <param name="folder">The bag's folder; must not exist, or be empty.</param>
    /// <param name="items">The clips.</param>
    /// <param name="labels">Labels and values for bag-info.txt.</param>
    /// <param name="progress">Told bytes done and bytes in all.</param>
    /// <param name="stop">Stops soon.</param>
    /// <exception cref="IOException">The folder is not empty, or the disk refused.</exception>
    public static BagOutcome Make(
        string folder, IReadOnlyList<BagItem> items, IReadOnlyList<(string Label, string Value)> labels, Action<long, long> progress, CancellationToken stop)
    {
        if (Directory.Exists(folder) && Directory.EnumerateFileSystemEntries(folder).Any())
        {
            throw new IOException($"{folder} is not empty. A bag is made in a folder of its own.");
        }

        long total = 2 * items.Sum(item => item.Size);
        long done = 0;
        List<BagItEntry> entries = [];
        List<string> faults = [];
        long bytes = 0;
        using var reader = new MediumReader();
        try
        {
            foreach (BagItem item in items.OrderBy(item => item.Payload, StringComparer.Ordinal))
            {
                string path = $"{BagItText.PayloadFolder}/{item.Payload}";
                if (Put(folder, path, item, reader, piece => progress(done += piece, total), stop, out string wrong) is { } hash)
                {
                    entries.Add(new BagItEntry(path, hash));
                    bytes += item.Size;
                }
                else
                {
                    faults.Add($"{item.Payload}: {wrong}");
                }
            }
        }
        catch (OperationCanceledException)
        {
            return new BagOutcome(entries.Count, bytes, faults, Stopped: true);
        }

        WriteTags(folder, entries, bytes, labels);
        return new BagOutcome(entries.Count, bytes, faults, Stopped: false);
    }

    private static string? Put(
        string folder, string path, BagItem item, MediumReader reader, Action<long> progress, CancellationToken stop, out string wrong)
    {
        wrong = item.From.Count == 0 ? "none of the drives that were named holds it" : "";
        string target = $"{folder}/{path}";
        foreach (string from in item.From)
        {
            try
            {
                MediaFolder.Make(Path.GetDirectoryName(target)!);
                MediaFolder.RemoveFile(target);
                (ClipHash read, string digest) = Copy(from, target, reader, progress, stop);
                if (read != item.Clip)
                {
                    wrong = $"{from} reads as {read}, not {item.Clip}";
                    MediaFolder.RemoveFile(target);
                    continue;
                }

                using var again = IncrementalHash.CreateHash(HashAlgorithmName.SHA512);
                reader.Read(
                    target,
                    piece =>
                    {
                        again.AppendData(piece);
                        progress(piece.Length);
                    },
                    stop);
                if (Convert.ToHexStringLower(again.GetHashAndReset()) == digest)
                {
                    return digest;
                }

                wrong = $"the copy in the bag does not read back as what was written: the disk of {folder} is not sound";
                MediaFolder.RemoveFile(target);
            }
            catch (MediaFault fault)
            {
                wrong = fault.Message;
            }
        }

        return null;
    }

    private static (ClipHash Clip, string Digest) Copy(string from, string target, MediumReader reader, Action<long> progress, CancellationToken stop)
    {
        var clip = new XxHash128();
        using var digest = IncrementalHash.CreateHash(HashAlgorithmName.SHA512);
        using MediaFile file = MediaFile.Create(target, wantDirect: false);
        long offset = 0;
        reader.Read(
            from,
            piece =>
            {
                clip.Append(piece);
                digest.AppendData(piece);
                file.Write(offset, piece);
                offset += piece.Length;
                progress(piece.Length);
            },
            stop);
        file.Flush();
        file.DropCache();
        return (new ClipHash(clip.GetCurrentHashAsUInt128()), Convert.ToHexStringLower(digest.GetHashAndReset()));
    }

    private static void WriteTags(string folder, List<BagItEntry> entries, long bytes, IReadOnlyList<(string Label, string Value)> labels)
    {
        MediaFolder.Make($"{folder}/{BagItText.PayloadFolder}");
        (string Name, string Text)[] tags =
        [
            (BagItText.ManifestFile(Algorithm), BagItText.Manifest(entries)),
            ("bag-info.txt", BagItText.Info(bytes, entries.Count, labels)),
            (BagItText.DeclarationFile, BagItText.Declaration),
        ];
        string tagManifest = BagItText.Manifest(tags.Select(tag =>
            new BagItEntry(tag.Name, Convert.ToHexStringLower(SHA512.HashData(Encoding.UTF8.GetBytes(tag.Text))))));

        // The declaration comes last: until it is there, nobody takes the folder for a bag.
        foreach ((string name, string text) in tags[..^1].Append((BagItText.TagManifestFile(Algorithm), tagManifest)).Append(tags[^1]))
        {
            using MediaFile file = MediaFile.Create($"{folder}/{name}", wantDirect: false);
            file.Write(0, Encoding.UTF8.GetBytes(text));
            file.Flush();
        }

        MediaFolder.Flush(folder);
    }
}
