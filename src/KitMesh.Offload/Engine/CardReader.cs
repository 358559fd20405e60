using KitMesh.Disk;
using KitMesh.Disk.Media;
using KitMesh.Domain.Reports;
using KitMesh.Offload.Cards;
using KitMesh.Offload.Hashing;

namespace KitMesh.Offload.Engine;

// The problem: the card is to be read ahead of the drives, as far as memory allows. The trap: a small file in a large
// buffer of its own fills the memory with nothing, and a read past a file's end makes the kernel zero the rest of the
// buffer. The method: small files lie one behind the other in one buffer, and no read asks for more than the file has.

/// <summary>Reads files of a card, once each, into the lanes.</summary>
internal sealed class CardReader(BufferPool pool, IReadOnlyList<HashLane> hashes, OffloadProgress progress)
{
    private const int RetryPiece = 64 * 1024;
    private const int Mask = AlignedBuffer.DefaultAlignment - 1;

    // Small files that are told to the lanes at once.
    private const int HeldAtOnce = 32;

    private readonly HashSet<Lane> _holding = [];
    private SharedBuffer? _shelf;
    private int _shelved;
    private int _held;
    private (Transfer Transfer, List<Lane> Lanes)? _feeding;
    private volatile bool _leftBehind;

    /// <summary>Reads a file and feeds it to the hashes and to some drives.</summary>
    /// <param name="transfer">The file.</param>
    /// <param name="takers">The drives.</param>
    /// <param name="stop">Gives up between two pieces.</param>
    /// <returns>What is wrong with the file on the card; null when it was read whole.</returns>
    /// <exception cref="OperationCanceledException">Stopped; the lanes were told to drop the file.</exception>
    public (CopyFailure Failure, string Detail)? Read(Transfer transfer, IReadOnlyList<DriveLane> takers, CancellationToken stop)
    {
        List<Lane> lanes = [.. hashes, .. takers];
        if (transfer.File.IsSmall)
        {
            return ReadSmall(transfer, lanes, stop);
        }

        CloseShelf();
        bool whole = false;
        try
        {
            _feeding = (transfer, lanes);
            using MediaFile file = MediaFile.OpenRead(transfer.File.FullPath, wantDirect: true);
            MediaStat before = file.Stat();
            if (!IsAsListed(before, transfer.File))
            {
                Post(lanes, new LaneOrder(LaneStep.Begin, transfer));
                return Changed("it changed after the card was listed");
            }

            Post(lanes, new LaneOrder(LaneStep.Begin, transfer));
            long read = Feed(file, transfer, lanes, stop);
            if (read != transfer.File.Size || file.Stat() != before)
            {
                return Changed("it changed while it was read; is the camera still recording?");
            }

            whole = true;
            if (!file.IsDirect)
            {
                file.DropCache();
            }

            return null;
        }
        catch (MediaFault fault)
        {
            return (CopyFailure.CardUnreadable, fault.Message);
        }
        finally
        {
            if (!_leftBehind)
            {
                _feeding = null;
                Post(lanes, new LaneOrder(whole ? LaneStep.End : LaneStep.Drop, transfer));
            }
        }
    }

    /// <summary>The reading thread hangs with the card, and somebody else tells the lanes so; it must not tell them anything when it wakes.</summary>
    public void LeaveBehind()
    {
        _leftBehind = true;
        CloseShelf();
        if (_feeding is (var transfer, var lanes))
        {
            Post(lanes, new LaneOrder(LaneStep.Drop, transfer));
        }
    }

    /// <summary>Lets go of the buffer that small files share, and tells the lanes all; the next small file starts another.</summary>
    public void CloseShelf()
    {
        TellHeld();
        _shelf?.Release();
        _shelf = null;
    }

    /// <summary>Tells the lanes of the small files that were kept back; before anybody waits for what they do with one.</summary>
    public void TellHeld()
    {
        foreach (Lane lane in _holding)
        {
            lane.PostHeld();
        }

        _holding.Clear();
        _held = 0;
    }

    /// <summary>The print of a file on the card, from its samples alone.</summary>
    /// <param name="file">The file.</param>
    /// <returns>The print; null when the file cannot be read or changed.</returns>
    public ClipHash? Print(CardFile file)
    {
        CloseShelf();
        SharedBuffer buffer = pool.Take(CancellationToken.None);
        buffer.HoldFor(1);
        try
        {
            using MediaFile open = MediaFile.OpenRead(file.FullPath, wantDirect: true);
            if (!IsAsListed(open.Stat(), file))
            {
                return null;
            }

            var print = new SampledPrint();
            print.Begin(file.Size);
            foreach ((long start, int length) in print.Ranges)
            {
                long from = start & ~(long)Mask;
                int want = (int)(start + length - from + Mask) & ~Mask;
                int got = ReadFully(open, from, buffer.Span[..want]);
                print.Observe(from, buffer.Span[..got]);
            }

            return print.Finish();
        }
        catch (MediaFault)
        {
            return null;
        }
        finally
        {
            buffer.Release();
        }
    }

    private (CopyFailure Failure, string Detail)? ReadSmall(Transfer transfer, List<Lane> lanes, CancellationToken stop)
    {
        bool whole = false;
        SharedBuffer? held = null;
        try
        {
            using MediaFile file = MediaFile.OpenRead(transfer.File.FullPath, wantDirect: true);
            MediaStat before = file.Stat();
            if (!IsAsListed(before, transfer.File))
            {
                return Changed("it changed after the card was listed");
            }

            int size = (int)transfer.File.Size;
            Span<byte> place = size == 0 ? [] : Place(size, stop);

            // The kernel may write there for as long as the card hangs, whatever becomes of the shelf.
            held = size == 0 ? null : _shelf;
            held?.HoldForMore(1);
            if (ReadWhole(file, place, size) < size || file.Stat() != before)
            {
                return Changed("it changed while it was read; is the camera still recording?");
            }

            if (!file.IsDirect)
            {
                file.DropCache();
            }

            Shelve(transfer, lanes, size);
            whole = true;
            return null;
        }
        catch (MediaFault fault)
        {
            return (CopyFailure.CardUnreadable, fault.Message);
        }
        finally
        {
            held?.Release();
            if (!whole)
            {
                transfer.SetDigest(null);
            }
        }
    }

    // The rest of the shared buffer, when the file fits there; else of a new one.
    private Span<byte> Place(int size, CancellationToken stop)
    {
        int room = (size + Mask) & ~Mask;
        if (_shelf is null || _shelved + room > pool.Size)
        {
            CloseShelf();
            _shelf = pool.Take(stop);
            _shelf.HoldFor(1);
            _shelved = 0;
        }

        return _shelf.Span.Slice(_shelved, room);
    }

    private void Shelve(Transfer transfer, List<Lane> lanes, int size)
    {
        if (size == 0)
        {
            Hold(lanes, new LaneOrder(LaneStep.Whole, transfer));
            return;
        }

        _shelf!.HoldForMore(lanes.Count);
        Hold(lanes, new LaneOrder(LaneStep.Whole, transfer, _shelf, _shelved, 0, size));
        _shelved += (size + Mask) & ~Mask;
        progress.AddRead(size);
    }

    private void Hold(List<Lane> lanes, LaneOrder order)
    {
        foreach (Lane lane in lanes)
        {
            lane.Hold(order);
            _holding.Add(lane);
        }

        if (++_held >= HeldAtOnce)
        {
            TellHeld();
        }
    }

    private static int ReadWhole(MediaFile file, Span<byte> place, int size)
    {
        int got = 0;
        while (got < size)
        {
            int more = got == 0 ? ReadPiece(file, 0, place) : file.Read(got, place[got..]);
            if (more == 0)
            {
                break;
            }

            got += more;
        }

        return got;
    }

    private static (CopyFailure Failure, string Detail)? Changed(string detail) => (CopyFailure.ClipChanged, detail);

    private static bool IsAsListed(MediaStat now, CardFile listed) =>
        now.Kind == MediaKind.File && now.Size == listed.Size && now.ModifiedNanoseconds == listed.ModifiedNanoseconds && now.ChangedNanoseconds == listed.ChangedNanoseconds;

    private static void Post(List<Lane> lanes, LaneOrder order)
    {
        foreach (Lane lane in lanes)
        {
            lane.Post(order);
        }
    }

    private long Feed(MediaFile file, Transfer transfer, List<Lane> lanes, CancellationToken stop)
    {
        long offset = 0;
        while (offset < transfer.File.Size)
        {
            SharedBuffer buffer = pool.Take(stop);
            buffer.HoldFor(1);
            int got;
            try
            {
                got = ReadPiece(file, offset, buffer.Span[..(int)Math.Min(buffer.Span.Length, (transfer.File.Size - offset + Mask) & ~(long)Mask)]);
            }
            catch
            {
                buffer.Release();
                throw;
            }

            int use = (int)Math.Min(got, transfer.File.Size - offset);
            if (use == 0)
            {
                buffer.Release();
                break;
            }

            buffer.HoldFor(lanes.Count);
            Post(lanes, new LaneOrder(LaneStep.Piece, transfer, buffer, 0, offset, use));
            offset += use;
            progress.AddRead(use);
        }

        return offset;
    }

    private static int ReadPiece(MediaFile file, long offset, Span<byte> into)
    {
        try
        {
            return ReadFully(file, offset, into);
        }
        catch (MediaFault fault) when (fault.Errno == ErrorNumber.InputOutput)
        {
            // Once more in small pieces: a loose contact may recover, and a bad sector is found to 64 KiB.
            return ReadSlowly(file, offset, into);
        }
    }

    private static int ReadSlowly(MediaFile file, long offset, Span<byte> into)
    {
        for (int done = 0; done < into.Length;)
        {
            int got;
            try
            {
                got = file.Read(offset + done, into.Slice(done, Math.Min(RetryPiece, into.Length - done)));
            }
            catch (MediaFault fault)
            {
                throw new MediaFault(FormattableString.Invariant($"read at byte {offset + done}"), fault.MediaPath, fault.Errno);
            }

            if (got == 0)
            {
                return done;
            }

            done += got;
        }

        return into.Length;
    }

    private static int ReadFully(MediaFile file, long offset, Span<byte> into)
    {
        int done = 0;
        while (done < into.Length)
        {
            int got = file.Read(offset + done, into[done..]);
            done += got;

            // A piece that is not whole blocks ends the file, and direct reads cannot go on from there.
            if (got == 0 || got % AlignedBuffer.DefaultAlignment != 0)
            {
                break;
            }
        }

        return done;
    }
}
