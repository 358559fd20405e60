using System.IO.Hashing;
using KitMesh.Disk.Media;
using KitMesh.Domain.Reports;
using KitMesh.Offload.Cards;
using KitMesh.Offload.Drives;

namespace KitMesh.Offload.Handover;

// The problem: whoever takes footage over must see that it is all there, with no network, no hub and nobody to ask. The
// traps: folders get renamed and files moved on the way, so that paths prove little; a file of the right name and size may
// be rotten; a drive of the crew must not be written to. The method: a clip is its content, so every file whose size is
// that of a clip is read from the medium and hashed, wherever it lies; what then stands at a promised path with other
// bytes is bad, and a promised clip that no file is, is missing.

/// <summary>Looks through drives for the clips of a handover.</summary>
public static class HandoverCheck
{
    /// <summary>Looks. Blocks until it is done; writes nothing.</summary>
    /// <param name="expected">The clips.</param>
    /// <param name="roots">Folders where drives are mounted, or where their files were copied to.</param>
    /// <param name="progress">Told bytes done and bytes in all.</param>
    /// <param name="stop">Stops soon.</param>
    /// <exception cref="IOException">A folder cannot be looked at.</exception>
    public static HandoverOutcome Run(
        IReadOnlyList<ExpectedClip> expected, IReadOnlyList<string> roots, Action<long, long> progress, CancellationToken stop)
    {
        var look = new Look(expected);
        List<(string Root, CardFile File)> files = [];
        foreach (string root in roots)
        {
            files.AddRange(look.Files(Path.GetFullPath(root)).Select(file => (Path.GetFullPath(root), file)));
        }

        long total = files.Where(entry => look.MayBeClip(entry.File)).Sum(entry => entry.File.Size);
        long done = 0;
        bool stopped = false;
        using var reader = new MediumReader();
        try
        {
            foreach ((string root, CardFile file) in files)
            {
                stop.ThrowIfCancellationRequested();
                look.Judge(root, file, reader, bytes => progress(done += bytes, total), stop);
            }
        }
        catch (OperationCanceledException)
        {
            // What was found so far is told.
            stopped = true;
        }

        return new HandoverOutcome(expected, look.Found, look.Bad, look.Unknown, stopped);
    }

    private sealed class Look(IReadOnlyList<ExpectedClip> expected)
    {
        private readonly Dictionary<ClipHash, ExpectedClip> _byHash = expected.GroupBy(clip => clip.Clip).ToDictionary(same => same.Key, same => same.First());
        private readonly HashSet<long> _sizes = [.. expected.Select(clip => clip.Size)];
        private readonly ILookup<string, (KitId Drive, ExpectedClip Clip)> _byPath = expected
            .SelectMany(clip => clip.Copies.Select(copy => (copy.Path, Promise: (copy.Drive, Clip: clip))))
            .ToLookup(entry => entry.Path, entry => entry.Promise, StringComparer.Ordinal);

        private readonly Dictionary<string, KitId?> _drives = new(StringComparer.Ordinal);

        public List<FoundCopy> Found { get; } = [];

        public List<BadFile> Bad { get; } = [];

        public int Unknown { get; private set; }

        public IEnumerable<CardFile> Files(string root)
        {
            CardListing listing = CardLister.List(root);
            Bad.AddRange(listing.Unreadable.Select(remark => new BadFile(root, remark.Path, $"cannot be looked at: {remark.Reason}")));
            _drives[root] = DriveIdentity.Read(root)?.Drive;
            return listing.Files.Where(file =>
                !file.Path.StartsWith($"{DriveIdentity.Folder}/", StringComparison.Ordinal)
                && !file.Path.StartsWith("ascmhl/", StringComparison.Ordinal)
                && !file.Path.Contains("/ascmhl/", StringComparison.Ordinal));
        }

        public bool MayBeClip(CardFile file) => _sizes.Contains(file.Size);

        public void Judge(string root, CardFile file, MediumReader reader, Action<long> progress, CancellationToken stop)
        {
            ExpectedClip? promised = Promised(root, file.Shown);
            if (!MayBeClip(file))
            {
                if (promised is not null)
                {
                    Bad.Add(new BadFile(root, file.Shown, $"has {file.Size} bytes; {promised.Name} has {promised.Size}"));
                }
                else
                {
                    Unknown++;
                }

                return;
            }

            try
            {
                var hash = new XxHash128();
                (long size, ReadBackLevel level) = reader.Read(
                    file.FullPath,
                    piece =>
                    {
                        hash.Append(piece);
                        progress(piece.Length);
                    },
                    stop);
                Settle(root, file, promised, new ClipHash(hash.GetCurrentHashAsUInt128()), size, level);
            }
            catch (MediaFault fault)
            {
                Bad.Add(new BadFile(root, file.Shown, $"cannot be read: {fault.Message}"));
            }
        }

        private void Settle(string root, CardFile file, ExpectedClip? promised, ClipHash hash, long size, ReadBackLevel level)
        {
            if (_byHash.TryGetValue(hash, out ExpectedClip? clip) && clip.Size == size)
            {
                Found.Add(new FoundCopy(root, file.Shown, hash, level));
            }
            else if (promised is not null)
            {
                Bad.Add(new BadFile(root, file.Shown, $"reads as {hash}; {promised.Name} is {promised.Clip}"));
            }
            else
            {
                Unknown++;
            }
        }

        /// <summary>What should lie at a path: on this drive when it says who it is, else on any.</summary>
        private ExpectedClip? Promised(string root, string path) => _byPath[path]
            .Where(promise => _drives[root] is not { } drive || promise.Drive == drive)
            .Select(promise => promise.Clip)
            .FirstOrDefault();
    }
}
