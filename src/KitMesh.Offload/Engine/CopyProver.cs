using KitMesh.Disk.Media;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Offload.Drives;
using NodaTime;

namespace KitMesh.Offload.Engine;

/// <summary>Reads copies of one drive back, and makes those that are equal count.</summary>
internal sealed class CopyProver(OpenDrive drive, int number, OffloadDesk desk) : IDisposable
{
    private readonly ReadBack _readBack = new();

    /// <summary>Proves copies that were committed together.</summary>
    /// <param name="batch">The copies.</param>
    public void Prove(IReadOnlyList<WrittenCopy> batch)
    {
        bool emptied = ReadBack.EmptyDeviceCache(drive);
        foreach (WrittenCopy copy in batch)
        {
            if (desk.Stop.IsCancellationRequested)
            {
                return;
            }

            TryProve(copy, emptied);
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
        foreach (string path in candidates)
        {
            try
            {
                (ClipHash hash, long size, ReadBackLevel level) = _readBack.Hash(drive, path, emptied, null, desk.Stop);
                if (hash == digest.Clip && size == transfer.File.Size)
                {
                    MakeDurable(path);
                    desk.Reports.Tell(new CopyMade(digest.Clip, drive.Drive, path, new ByteCount(size)));
                    desk.Progress(number).AddWritten(size);
                    Accept(new WrittenCopy(transfer, digest, path), level);
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
    public void Dispose() => _readBack.Dispose();

    // The run that wrote it may have died before its flush: equal bytes in memory are not bytes on the medium.
    private void MakeDurable(string path)
    {
        using (MediaFile file = MediaFile.OpenRead(drive.Full(path), wantDirect: false))
        {
            file.Flush();
        }

        MediaFolder.Flush(Path.GetDirectoryName(drive.Full(path))!);
    }

    private void TryProve(WrittenCopy copy, bool emptied)
    {
        try
        {
            (ClipHash hash, long size, ReadBackLevel level) =
                _readBack.Hash(drive, copy.Path, emptied, desk.Progress(number).AddProven, desk.Stop);
            if (hash == copy.Digest.Clip && size == copy.Transfer.File.Size)
            {
                Accept(copy, level);
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

    private void Accept(WrittenCopy copy, ReadBackLevel level)
    {
        CopyRecord record = desk.Record(copy, level);
        try
        {
            drive.Copies.Add(record);
        }
        catch (MediaFault fault)
        {
            // The copy is good all the same; only the next run will have to read it again.
            desk.Progress(number).Fail(FaultWords.Say(fault));
        }

        desk.Outcomes[copy.Transfer.Index, number] = new CopyOutcome(drive.Drive, CopyState.Verified, copy.Path, level);
        desk.Reports.Tell(new CopyVerified(copy.Digest.Clip, drive.Drive, copy.Path, new ByteCount(copy.Transfer.File.Size), level, Recheck: false));
        desk.Proven(number, record);
    }
}
