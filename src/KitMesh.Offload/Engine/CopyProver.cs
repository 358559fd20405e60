using KitMesh.Disk.Media;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Offload.Cards;
using KitMesh.Offload.Drives;
using NodaTime;

namespace KitMesh.Offload.Engine;

/// <summary>Reads copies of one drive back, and makes those that are equal count. Two threads at most: one proves, one adopts.</summary>
internal sealed class CopyProver(OpenDrive drive, int number, OffloadDesk desk, DriveAnswer answer) : IDisposable
{
    // Small files are read back several at once: each waits for its drive, and a drive serves several requests in less
    // time than one after the other (its own queue, or the elevator of one that spins).
    private const int SmallAtOnce = 4;
    private const int FewSmall = 16;
    private const int SmallPiece = 256 * 1024;

    private readonly ReadBack _readBack = new();
    private readonly List<ReadBack> _small = [];
    private ReadBack? _adopting;

    /// <summary>Proves copies that were committed together.</summary>
    /// <param name="batch">The copies.</param>
    public void Prove(IReadOnlyList<WrittenCopy> batch)
    {
        bool emptied = ReadBack.EmptyDeviceCache(drive);
        List<WrittenCopy> small = [.. batch.Where(copy => copy.Transfer.File.IsSmall)];
        if (small.Count >= FewSmall)
        {
            ProveSmall(small, emptied);
        }

        foreach (WrittenCopy copy in small.Count >= FewSmall ? batch.Where(copy => !copy.Transfer.File.IsSmall) : batch)
        {
            TryProve(copy, emptied, _readBack);
        }

        if (drive.Volume.WholeFlushServes)
        {
            // The next whole flush, the system's own within half a minute, or the end of the run brings these lines as well.
            return;
        }

        try
        {
            drive.Copies.Flush();
        }
        catch (MediaFault)
        {
            // Lines that did not reach the medium cost a second reading in the next run, nothing else.
        }
    }

    /// <summary>Looks for a copy that an earlier run wrote but did not live to prove.</summary>
    /// <param name="transfer">The file.</param>
    /// <param name="digest">What the card's file hashes to.</param>
    /// <param name="candidates">Paths on the drive that may hold it.</param>
    /// <returns>True when one does, and now counts.</returns>
    public bool TryAdopt(Transfer transfer, ClipDigest digest, IReadOnlyList<string> candidates)
    {
        bool emptied = ReadBack.EmptyDeviceCache(drive);

        // The writer asks, while another thread may read back what it committed.
        _adopting ??= new ReadBack();
        foreach (string path in candidates)
        {
            try
            {
                (ClipHash hash, long size, ReadBackLevel level) = _adopting.Hash(drive, path, emptied, null, desk.Stop);
                if (hash == digest.Clip && size == transfer.File.Size)
                {
                    MakeDurable(path);
                    desk.Reports.Tell(new CopyMade(digest.Clip, drive.Drive, path, new ByteCount(size)));
                    desk.Progress(number).AddWritten(size);
                    Accept(new WrittenCopy(transfer, digest, path), level, writtenNow: false);
                    return true;
                }
            }
            catch (OperationCanceledException)
            {
                return false;
            }
            catch (MediaFault)
            {
                // A candidate that cannot be read is none; the file is copied anew beside it.
            }
        }

        return false;
    }

    /// <inheritdoc/>
    public void Dispose()
    {
        _readBack.Dispose();
        _adopting?.Dispose();
        _small.ForEach(one => one.Dispose());
    }

    private void ProveSmall(List<WrittenCopy> copies, bool emptied)
    {
        while (_small.Count < SmallAtOnce)
        {
            _small.Add(new ReadBack(SmallPiece, buffers: 1));
        }

        int next = -1;
        Exception? wrong = null;

        void Work(ReadBack with)
        {
            try
            {
                using IDisposable heard = answer.Listen();
                for (int i = Interlocked.Increment(ref next); i < copies.Count; i = Interlocked.Increment(ref next))
                {
                    TryProve(copies[i], emptied, with);
                }
            }
            catch (Exception fault)
            {
                Volatile.Write(ref wrong, fault);
            }
        }

        List<Thread> others = [.. _small.Skip(1).Select(with => new Thread(() => Work(with), 256 * 1024) { IsBackground = true, Name = $"{drive.Drive} read-back" })];
        others.ForEach(thread => thread.Start());
        Work(_small[0]);
        others.ForEach(thread => thread.Join());
        if (wrong is not null)
        {
            throw new InvalidOperationException("Reading back failed.", wrong);
        }
    }

    // The run that wrote it may have died before its flush: equal bytes in memory are not bytes on the medium.
    private void MakeDurable(string path)
    {
        using (MediaFile file = MediaFile.OpenRead(drive.Full(path), wantDirect: false))
        {
            file.Flush();
        }

        MediaFolder.Flush(Path.GetDirectoryName(drive.Full(path))!);
    }

    private void TryProve(WrittenCopy copy, bool emptied, ReadBack with)
    {
        if (desk.Stop.IsCancellationRequested)
        {
            return;
        }

        try
        {
            (ClipHash hash, long size, ReadBackLevel level) =
                with.Hash(drive, copy.Path, emptied, desk.Progress(number).AddProven, desk.Stop);
            if (hash == copy.Digest.Clip && size == copy.Transfer.File.Size)
            {
                Accept(copy, level, writtenNow: true);
                return;
            }

            desk.Progress(number).AddProven(-size);
            drive.SetAside(copy.Path);
            desk.Fail(number, copy.Transfer, copy.Path, CopyFailure.HashDiffers, $"read back {hash} where the card gave {copy.Digest.Clip}; set aside in {DriveIdentity.Folder}/bad", clip: copy.Digest.Clip);
        }
        catch (OperationCanceledException)
        {
            // Written but not proven: the next run reads it back.
        }
        catch (MediaFault fault)
        {
            CopyFailure failure = FaultWords.OnDrive(drive, fault, whileReading: true);
            if (failure != CopyFailure.DriveGone)
            {
                drive.SetAside(copy.Path);
            }

            desk.Fail(number, copy.Transfer, copy.Path, failure, FaultWords.Say(fault), FaultWords.EndsDrive(failure, fault), copy.Digest.Clip);
        }
    }

    private void Accept(WrittenCopy copy, ReadBackLevel level, bool writtenNow)
    {
        CopyRecord record = desk.Record(copy, level, drive, writtenNow);
        try
        {
            drive.Copies.Add(record);
        }
        catch (MediaFault fault)
        {
            // The copy is good all the same; only the next run will have to read it again.
            desk.Progress(number).Fail(FaultWords.Say(fault));
        }

        if (desk.Note(number, copy.Transfer.Index, new CopyOutcome(drive.Drive, CopyState.Verified, copy.Path, level)))
        {
            desk.Reports.Tell(new CopyVerified(copy.Digest.Clip, drive.Drive, copy.Path, new ByteCount(copy.Transfer.File.Size), level, Recheck: false));
            desk.Proven(number, record);
        }
    }
}
