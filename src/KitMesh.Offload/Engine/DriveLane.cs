using KitMesh.Disk;
using KitMesh.Disk.Media;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Offload.Drives;
using KitMesh.Offload.Names;

namespace KitMesh.Offload.Engine;

// The problem: copies must survive loss of power before they are called made, at the speed of the drive. The traps: a
// flush for each of 2,000 small files costs more than their bytes; a name that reaches the medium before its bytes points
// to rubbish after a power cut; a failed flush may be reported once and never again; two files of a card may have one name
// in the eyes of the drive. The method: files are written under names of their own in a folder for unfinished files; when
// a batch is full, one flush of the whole file system (or of each file, where that is not enough) brings all bytes to the
// medium; only then are the files given their names, without ever replacing one that exists, and the folders flushed; only
// then are they read back. A batch whose flush failed is thrown away whole.

/// <summary>Writes to one drive.</summary>
internal sealed class DriveLane : Lane
{
    private const int MaxRenames = 100;

    // Where reading back waits for writing there may be a head, and each batch makes it jump a dozen times (journal, folder,
    // list, and back to read): such batches are larger. What a kill loses of one is copied again.
    private static readonly BatchBounds Flowing = new(256, 64L << 20, TimeSpan.FromSeconds(2), FewFiles: 8);
    private static readonly BatchBounds WithHead = new(1024, 512L << 20, TimeSpan.FromSeconds(8), FewFiles: 1);

    private readonly OpenDrive _drive;
    private readonly int _number;
    private readonly OffloadDesk _desk;
    private readonly TimeProvider _time;
    private readonly CopyProver _prover;
    private readonly ProveLane? _beside;
    private readonly DeviceTurn? _turn;
    private readonly DriveAnswer _answer;
    private readonly BatchBounds _bounds;
    private bool _holdsTurn;
    private readonly List<Unfinished> _batch = [];
    private long _batchBytes;
    private long _batchStart;
    private MediaFile? _file;
    private string _partial = "";
    private bool _discarding;

    public DriveLane(OpenDrive drive, int number, OffloadDesk desk, TimeProvider time, DeviceTurn? turn, DriveAnswer answer)
        : base(drive.Drive.Value)
    {
        _drive = drive;
        _number = number;
        _desk = desk;
        _time = time;
        _prover = new CopyProver(drive, number, desk, answer);
        _answer = answer;
        bool beside = desk.Request.Order switch
        {
            ReadBackOrder.Overlapping => true,
            ReadBackOrder.Alternating => false,
            _ => drive.Mount?.Spins() == false,
        };
        _beside = beside ? new ProveLane(_prover, drive.Drive.Value, answer) : null;
        _bounds = beside ? Flowing : WithHead;
        _turn = turn;
    }

    /// <summary>The drive.</summary>
    public OpenDrive Drive => _drive;

    /// <summary>Its number in this offload.</summary>
    public int Number => _number;

    /// <summary>Whether nothing more is expected of the drive.</summary>
    public bool IsLost => _desk.IsLost(_number);

    /// <inheritdoc/>
    public override void Dispose()
    {
        _file?.Dispose();
        _beside?.Dispose();
        _prover.Dispose();
        base.Dispose();
    }

    /// <inheritdoc/>
    protected override void Do(LaneOrder order)
    {
        using IDisposable heard = _answer.Listen();
        TakeTurn();
        switch (order.Step)
        {
            case LaneStep.Begin:
                Guarded(order.Transfer, () => Begin(order.Transfer));
                break;
            case LaneStep.Whole:
                Guarded(order.Transfer, () => TakeWhole(order));
                break;
            case LaneStep.Piece when !_discarding:
                Guarded(order.Transfer, () => Write(order));
                break;
            case LaneStep.End when !_discarding:
                Guarded(order.Transfer, () => End(order.Transfer));
                break;
            case LaneStep.Drop when !_discarding:
                RemovePartial();
                break;
            case LaneStep.Adopt:
                Commit();
                order.Answer!.TrySetResult(order.Transfer.Digest is { } digest && _prover.TryAdopt(order.Transfer, digest, order.Candidates!));
                break;
            default:
                break;
        }

        if (_batch.Count > 0 && _time.GetElapsedTime(_batchStart) > _bounds.Age)
        {
            Commit();
        }
    }

    /// <inheritdoc/>
    protected override void Idle()
    {
        if (_holdsTurn)
        {
            _holdsTurn = false;
            _turn!.Leave();
        }
    }

    /// <inheritdoc/>
    protected override void Finish()
    {
        using IDisposable heard = _answer.Listen();
        TakeTurn();
        try
        {
            FinishDrive();
        }
        finally
        {
            Idle();
        }
    }

    private void TakeTurn()
    {
        if (_turn is not null && !_holdsTurn)
        {
            _turn.Enter();
            _holdsTurn = true;
        }
    }

    private void FinishDrive()
    {
        Commit();
        _beside?.Finish();
        try
        {
            _drive.Copies.Flush();
        }
        catch (MediaFault)
        {
            // Lines that did not reach the medium cost a second reading in the next run, nothing else.
        }
    }

    private void Begin(Transfer transfer)
    {
        _discarding = IsLost;
        if (_discarding)
        {
            _desk.Fail(_number, transfer, transfer.Place, CopyFailure.DriveGone, "the drive failed earlier in this run");
            return;
        }

        if (_drive.Volume.IsFat && transfer.File.Size > uint.MaxValue)
        {
            // Said before 4 GiB were written in vain, where the driver cannot set room aside.
            throw new MediaFault("making", _drive.Full(transfer.Place), ErrorNumber.FileTooLarge);
        }

        _partial = _drive.NextPartial();
        bool small = transfer.File.IsSmall;
        _file = MediaFile.Create(_partial, wantDirect: !small);
        if (!small)
        {
            _file.TryAllocate(transfer.File.Size);
        }
    }

    private void TakeWhole(LaneOrder order)
    {
        Begin(order.Transfer);
        if (_discarding)
        {
            return;
        }

        if (order.Buffer is not null)
        {
            Write(order);
        }

        End(order.Transfer);
    }

    private void Write(LaneOrder order)
    {
        Span<byte> piece = order.Bytes;
        int length = order.Length;
        if (_file!.IsDirect && length % AlignedBuffer.DefaultAlignment != 0)
        {
            // The last piece: whole blocks go past the cache, and the length is cut afterwards. What lies in the buffer
            // behind the piece is on the drive only until then.
            length = (length + AlignedBuffer.DefaultAlignment - 1) & ~(AlignedBuffer.DefaultAlignment - 1);
        }

        _file.Write(order.Offset, piece[..length]);
        _desk.Progress(_number).AddWritten(order.Length);
    }

    private void End(Transfer transfer)
    {
        MediaFile file = _file!;
        if (!transfer.File.IsSmall && file.Stat().Size != transfer.File.Size)
        {
            file.SetLength(transfer.File.Size);
        }

        file.SetModified(transfer.File.ModifiedNanoseconds);
        if (!_drive.Volume.WholeFlushServes)
        {
            file.Flush();
        }

        file.Dispose();
        _file = null;
        if (_batch.Count == 0)
        {
            _batchStart = _time.GetTimestamp();
        }

        _batch.Add(new Unfinished(transfer, _partial));
        _partial = "";
        _batchBytes += transfer.File.Size;
        if (_batch.Count >= _bounds.Files || _batchBytes >= _bounds.Bytes)
        {
            Commit();
        }
    }

    private void Commit()
    {
        if (_batch.Count == 0)
        {
            return;
        }

        List<Unfinished> batch = [.. _batch];
        _batch.Clear();
        _batchBytes = 0;
        List<WrittenCopy> written = [];
        try
        {
            FlushBytes(batch);
            HashSet<string> folders = new(StringComparer.Ordinal);
            foreach (Unfinished unfinished in batch)
            {
                if (Name(unfinished, folders) is { } copy)
                {
                    written.Add(copy);
                }
            }

            foreach (string folder in folders)
            {
                MediaFolder.Flush(folder);
            }
        }
        catch (MediaFault fault)
        {
            // What was named but not surely flushed stays where it is, unproven and not in the list: the next run looks at it.
            FailBatch(batch, fault);
            return;
        }

        foreach (WrittenCopy copy in written)
        {
            if (_desk.Note(_number, copy.Transfer.Index, new CopyOutcome(_drive.Drive, CopyState.Made, copy.Path)))
            {
                _desk.Reports.Tell(new CopyMade(copy.Digest.Clip, _drive.Drive, copy.Path, new ByteCount(copy.Transfer.File.Size)));
            }
        }

        if (_beside is not null)
        {
            _beside.Post(written);
        }
        else
        {
            _prover.Prove(written);
        }
    }

    private void FlushBytes(List<Unfinished> batch)
    {
        if (!_drive.Volume.WholeFlushServes)
        {
            return;
        }

        // A whole flush also brings what others wrote to the same file system; a few files are cheaper one by one.
        if (batch.Count > _bounds.FewFiles)
        {
            _drive.Top.FlushFileSystem();
            return;
        }

        foreach (Unfinished unfinished in batch)
        {
            using MediaFile file = MediaFile.OpenRead(unfinished.Partial, wantDirect: false);
            file.Flush();
        }
    }

    private WrittenCopy? Name(Unfinished unfinished, HashSet<string> folders)
    {
        Transfer transfer = unfinished.Transfer;
        if (transfer.Digest is not { } digest)
        {
            MediaFolder.RemoveFile(unfinished.Partial);
            return null;
        }

        string place = transfer.Place;
        string folder = _drive.MakeFolderOf(place);
        for (int i = 0; i < MaxRenames; i++)
        {
            string path = NameFor(place, digest, i);
            if (MediaFolder.TryRename(unfinished.Partial, _drive.Full(path)))
            {
                folders.Add(folder);
                return new WrittenCopy(transfer, digest, path);
            }
        }

        throw new MediaFault("naming", _drive.Full(place), ErrorNumber.Exists);
    }

    // Same name, other content: both stay. The mark is the start of the content's own hash, so that it is the same in every run.
    private static string NameFor(string place, ClipDigest digest, int attempt) => attempt switch
    {
        0 => place,
        1 => SafeName.Marked(place, digest.Clip.ToString()[..8]),
        2 => SafeName.Marked(place, digest.Clip.ToString()),
        _ => SafeName.Marked(place, $"{digest.Clip}-{attempt}"),
    };

    private void FailBatch(List<Unfinished> batch, MediaFault fault)
    {
        CopyFailure failure = FaultWords.OnDrive(_drive, fault, whileReading: false);
        bool ends = FaultWords.EndsDrive(failure, fault);
        foreach (Unfinished unfinished in batch)
        {
            TryRemove(unfinished.Partial);
            _desk.Fail(_number, unfinished.Transfer, unfinished.Transfer.Place, failure, FaultWords.Say(fault), ends);
        }
    }

    private void Guarded(Transfer transfer, Action step)
    {
        try
        {
            step();
        }
        catch (MediaFault fault)
        {
            CopyFailure failure = FaultWords.OnDrive(_drive, fault, whileReading: false);
            _desk.Fail(_number, transfer, transfer.Place, failure, FaultWords.Say(fault), FaultWords.EndsDrive(failure, fault));
            RemovePartial();
            _discarding = true;
        }
    }

    private void RemovePartial()
    {
        _file?.Dispose();
        _file = null;
        _discarding = true;
        TryRemove(_partial);
        _partial = "";
    }

    private static void TryRemove(string partial)
    {
        try
        {
            if (partial.Length > 0)
            {
                MediaFolder.RemoveFile(partial);
            }
        }
        catch (MediaFault)
        {
            // The next run's clean-up finds it.
        }
    }

    private readonly record struct BatchBounds(int Files, long Bytes, TimeSpan Age, int FewFiles);

    private readonly record struct Unfinished(Transfer Transfer, string Partial);
}
