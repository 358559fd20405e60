using KitMesh.Domain;
using KitMesh.Domain.Reports;
using KitMesh.Offload.Hashing;

namespace KitMesh.Offload.Engine;

/// <summary>Gathers the hashes of one file from several lanes; the last one completes the file's digest.</summary>
/// <param name="hashes">How many hashes each file gets.</param>
/// <param name="known">Told before anybody else gets the digest.</param>
internal sealed class HashBoard(int hashes, Action<Transfer, ClipDigest> known)
{
    private readonly Dictionary<Transfer, Entry> _open = [];
    private readonly Lock _lock = new();

    /// <summary>One hash of a file is known.</summary>
    /// <param name="transfer">The file.</param>
    /// <param name="hash">The hash.</param>
    /// <param name="print">The samples' print, from the lane that takes it.</param>
    public void Put(Transfer transfer, HashText hash, ClipHash? print)
    {
        Entry entry;
        lock (_lock)
        {
            if (!_open.TryGetValue(transfer, out Entry? found))
            {
                _open[transfer] = found = new Entry();
            }

            entry = found;
            entry.Hashes.Add(hash);
            entry.Print ??= print;
            if (entry.Hashes.Count < hashes)
            {
                return;
            }

            _open.Remove(transfer);
        }

        HashText main = entry.Hashes.Single(h => h.Kind == HashKind.Xxh128);
        _ = ClipHash.TryParse(main.Text, out ClipHash clip);
        var digest = new ClipDigest(clip, entry.Print!.Value, entry.Hashes.Where(h => h != main).OrderBy(h => h.Kind).ToValueList());
        known(transfer, digest);
        transfer.SetDigest(digest);
    }

    private sealed class Entry
    {
        public List<HashText> Hashes { get; } = [];

        public ClipHash? Print { get; set; }
    }
}
