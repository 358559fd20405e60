using System.Globalization;
using System.IO.Hashing;
using System.Text;
using KitMesh.Disk;
using KitMesh.Disk.Media;
using KitMesh.Domain;
using KitMesh.Domain.Reports;
using KitMesh.Offload.Drives;

namespace KitMesh.Offload.Engine;

// The problem: a clip with one bad sector is still nearly a whole clip, and the card may give less tomorrow. The traps: a
// dying card must first give what is sound, so nothing is tried twice before that; what was saved with holes must never
// be taken for the clip; a hopeless card must not be read for days. The method: when all else is copied, each clip that
// could not be read is read in pieces, down to 4 KiB where the card refuses, with zeros for what it does not give; the
// result goes to a folder of its own beside a list of its holes, is in no drive's list, and is no proof.

/// <summary>Saves what can be read of clips with bad sectors.</summary>
internal sealed class Salvage(IReadOnlyList<OpenDrive> drives, OffloadDesk desk, DriveWatch watch)
{
    /// <summary>Folder on a drive for what was saved with holes.</summary>
    public const string Folder = "salvaged";

    private const int Piece = 1 << 20;
    private const int Fine = 4096;

    // Each refusal may take a card seconds: past this many, whole pieces are given up.
    private const int MaxRefusals = 4096;

    private readonly List<(long Start, long End)> _holes = [];
    private int _refusals;

    /// <summary>Saves one clip to every drive that still answers.</summary>
    /// <param name="transfer">The clip.</param>
    /// <returns>What came of it, for a person; null when nothing was saved.</returns>
    public string? Save(Transfer transfer)
    {
        string path = $"{Folder}/{transfer.Place}";
        List<int> takers = [.. Enumerable.Range(0, drives.Count).Where(i => !desk.IsLost(i) && !IsThere(i, path))];
        if (takers.Count == 0)
        {
            return null;
        }

        _holes.Clear();
        List<Saving> savings = [.. takers.Select(Begin).OfType<Saving>()];
        try
        {
            ClipHash? hash = Read(transfer, savings);
            if (hash is not { } whole || savings.Count == 0 || _holes.Sum(hole => hole.End - hole.Start) >= transfer.File.Size)
            {
                // Nothing but zeros helps nobody.
                return null;
            }

            List<string> names = [.. savings.Where(saving => End(saving, path, transfer, whole)).Select(saving => saving.Drive.Drive.Value)];
            return names.Count == 0 ? null : Words(transfer, path, names);
        }
        finally
        {
            savings.ForEach(Dispose);
        }
    }

    // Each step is the drive's own call, so that one that hangs ends its saving and no other's.
    private Saving? Begin(int drive)
    {
        Saving? saving = null;
        return watch.TryCall(drive, () => saving = Saving.Begin(drives[drive], drive)) ? saving : null;
    }

    private bool TryWrite(Saving saving, long offset, AlignedBuffer buffer, int length)
    {
        bool done = false;
        return watch.TryCall(saving.Number, () => done = saving.TryWrite(offset, buffer.Span[..length])) && done;
    }

    private bool End(Saving saving, string path, Transfer transfer, ClipHash whole)
    {
        bool good = false;
        return watch.TryCall(saving.Number, () => good = saving.End(path, transfer, Holes(), whole, desk.Stop)) && good;
    }

    private void Dispose(Saving saving) => watch.TryCall(saving.Number, saving.Dispose);

    private string Words(Transfer transfer, string path, List<string> names)
    {
        long lost = _holes.Sum(hole => hole.End - hole.Start);
        return string.Create(
            CultureInfo.InvariantCulture,
            $"{transfer.File.Shown}: all but {lost} of {transfer.File.Size} bytes were saved as {path} on {string.Join(", ", names)}, zeros in the {_holes.Count} {(_holes.Count == 1 ? "hole" : "holes")}; this is no proof");
    }

    private bool IsThere(int drive, string path)
    {
        try
        {
            bool isThere = false;
            return !watch.TryCall(drive, () => isThere = MediaFolder.Look(drives[drive].Full(path)) is not null) || isThere;
        }
        catch (MediaFault)
        {
            return true;
        }
    }

    private string Holes()
    {
        var text = new StringBuilder();
        foreach ((long start, long end) in _holes)
        {
            text.Append(CultureInfo.InvariantCulture, $"bytes {start} to {end - 1} could not be read and are zeros\n");
        }

        return text.ToString();
    }

    private ClipHash? Read(Transfer transfer, List<Saving> savings)
    {
        var buffer = new AlignedBuffer(Piece);
        var hash = new XxHash128();
        try
        {
            using MediaFile file = MediaFile.OpenRead(transfer.File.FullPath, wantDirect: true);
            for (long offset = 0; offset < transfer.File.Size; offset += Piece)
            {
                desk.Stop.ThrowIfCancellationRequested();
                int length = (int)Math.Min(Piece, transfer.File.Size - offset);
                Fill(file, offset, buffer.Span, length);
                hash.Append(buffer.Span[..length]);
                foreach (Saving saving in savings.ToList().Where(saving => !TryWrite(saving, offset, buffer, length)))
                {
                    savings.Remove(saving);
                    Dispose(saving);
                }
            }

            return new ClipHash(hash.GetCurrentHashAsUInt128());
        }
        catch (Exception fault) when (fault is MediaFault or OperationCanceledException)
        {
            // The card went away, or the user stopped: nothing half is kept.
            return null;
        }
        finally
        {
            // A drive that hangs may still write from it.
            if (!Enumerable.Range(0, drives.Count).Any(desk.IsSilent))
            {
                ((IDisposable)buffer).Dispose();
            }
        }
    }

    private void Fill(MediaFile file, long offset, Span<byte> into, int length)
    {
        for (int step = Piece, done = 0; done < length;)
        {
            int want = Math.Min(step, into.Length - done);
            try
            {
                int got = file.Read(offset + done, into.Slice(done, want));
                if (got == 0)
                {
                    AddHole(into, offset, done, length - done);
                    return;
                }

                done += got;
            }
            catch (MediaFault fault) when (fault.Errno == ErrorNumber.InputOutput)
            {
                if (step > Fine && ++_refusals < MaxRefusals)
                {
                    step = Fine;
                    continue;
                }

                int lost = Math.Min(want, length - done);
                AddHole(into, offset, done, lost);
                done += lost;
            }
        }
    }

    private void AddHole(Span<byte> into, long offset, int done, int lost)
    {
        into.Slice(done, lost).Clear();
        long start = offset + done;
        if (_holes.Count > 0 && _holes[^1].End == start)
        {
            _holes[^1] = (_holes[^1].Start, start + lost);
        }
        else
        {
            _holes.Add((start, start + lost));
        }
    }

    private sealed class Saving(OpenDrive drive, int number, string partial, MediaFile file) : IDisposable
    {
        public OpenDrive Drive => drive;

        public int Number => number;

        public static Saving? Begin(OpenDrive drive, int number)
        {
            try
            {
                string partial = drive.NextPartial();
                return new Saving(drive, number, partial, MediaFile.Create(partial, wantDirect: false));
            }
            catch (MediaFault)
            {
                return null;
            }
        }

        public bool TryWrite(long offset, ReadOnlySpan<byte> bytes)
        {
            try
            {
                file.Write(offset, bytes);
                return true;
            }
            catch (MediaFault)
            {
                return false;
            }
        }

        public bool End(string path, Transfer transfer, string holes, ClipHash whole, CancellationToken stop)
        {
            try
            {
                file.SetModified(transfer.File.ModifiedNanoseconds);
                file.Flush();
                string folder = drive.MakeFolderOf(path);
                MediaFolder.RemoveFile(drive.Full(path + ".holes.txt"));
                using (MediaFile list = MediaFile.Create(drive.Full(path + ".holes.txt"), wantDirect: false))
                {
                    list.Write(0, Encoding.UTF8.GetBytes(holes));
                    list.Flush();
                }

                if (!MediaFolder.TryRename(partial, drive.Full(path)))
                {
                    return false;
                }

                MediaFolder.Flush(folder);
                using var readBack = new ReadBack();
                return readBack.Hash(drive, path, ReadBack.EmptyDeviceCache(drive), null, stop).Hash == whole;
            }
            catch (Exception fault) when (fault is MediaFault or OperationCanceledException)
            {
                return false;
            }
        }

        public void Dispose()
        {
            file.Dispose();
            try
            {
                MediaFolder.RemoveFile(partial);
            }
            catch (MediaFault)
            {
                // The next run's clean-up finds it.
            }
        }
    }
}
