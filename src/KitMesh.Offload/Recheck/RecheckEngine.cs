using KitMesh.Disk.Media;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Offload.Drives;
using KitMesh.Offload.Engine;
using NodaTime;

namespace KitMesh.Offload.Recheck;

// The problem: bytes rot, drives fall, and nobody notices before the edit. The trap: a recheck that mends by itself may
// overwrite the better copy, and a repair that is believed without a reading is no repair. The method: read every listed
// copy from the medium and compare with its hash; a bad one is set aside, struck off the list and told; only on demand a
// copy from another drive is put in its place, and only if that one hashes right while it is read and the new one hashes
// right when it is read back.

/// <summary>Reads the copies on a drive again.</summary>
/// <param name="clock">The wall clock, for the list on the drive.</param>
/// <param name="time">Machine time, for how long a drive lets a call wait.</param>
/// <param name="ids">Draws identities; a recheck never needs one, since it refuses a folder without.</param>
public sealed class RecheckEngine(IClock clock, TimeProvider time, Func<ulong> ids)
{
    private const int PieceSize = 4 << 20;

    /// <summary>Rechecks a drive. Blocks until it is done.</summary>
    /// <param name="request">What to do.</param>
    /// <param name="listener">Told each fact as it becomes true.</param>
    /// <param name="progress">Told bytes done and bytes in all.</param>
    /// <param name="stop">Stops soon.</param>
    public RecheckResult Run(RecheckRequest request, Action<ReportBody> listener, Action<long, long> progress, CancellationToken stop)
    {
        string root = Path.GetFullPath(request.Root);
        using var call = new PatientCall(root, time, request.Patience);
        (OpenDrive? Drive, string Why) opened = (null, "");
        if (!call.Try(() => opened = Open(root, request)))
        {
            return new RecheckResult.Refused($"{root} {FaultWords.Silence(request.Patience)}: check its cable and power");
        }

        if (opened.Drive is not { } drive)
        {
            return new RecheckResult.Refused(opened.Why);
        }

        var tally = new Tally(listener);
        bool answered = false;
        try
        {
            // Without "throughout", a call that is given up stands still: what was found so far may be told.
            answered = call.Try(() => Check(drive, request, tally, progress, stop), throughout: false);
            string silence = $"{FaultWords.Silence(request.Patience)} and was given up; what was read before stands. Check its cable and power";
            return new RecheckResult.Ran(answered ? tally.Outcome(drive, stop.IsCancellationRequested) : tally.Hung(drive, silence));
        }
        finally
        {
            if (answered)
            {
                drive.Dispose();
            }
            else
            {
                // Closing the files of a drive that hangs may hang too.
                new Thread(drive.Dispose) { IsBackground = true, Name = "left behind" }.Start();
            }
        }
    }

    /// <summary>Bytes of the copies on a drive that were not proven for longer than an age, by its list alone; nothing is locked or written.</summary>
    /// <param name="root">The drive's root.</param>
    /// <param name="age">The age.</param>
    /// <param name="now">The moment.</param>
    public static ByteCount DueOn(string root, Duration age, Instant now)
    {
        try
        {
            return new ByteCount(CopyList.Peek(OpenDrive.ListOf(root)).Where(copy => now - copy.Verified > age).Sum(copy => copy.Size));
        }
        catch (Exception fault) when (fault is IOException or UnauthorizedAccessException)
        {
            return ByteCount.Zero;
        }
    }

    private (OpenDrive? Drive, string Why) Open(string root, RecheckRequest request)
    {
        if (!DriveIdentity.Marks(root))
        {
            return (null, $"{root} is no drive of copies: it has no {DriveIdentity.FilePath}");
        }

        if (request.Remount && Remounting.WhyNot(root) is { } why)
        {
            return (null, why);
        }

        switch (OpenDrive.Open(new DriveTarget(root), ids))
        {
            case DriveOpening.Refused refused:
                return (null, refused.Why);
            case DriveOpening.Taken { Drive: var drive } when request.Power == PowerWord.WasUnpowered && StayedOn(drive):
                drive.Dispose();
                return (null, $"{root} was not without power since its copies were written, as far as this machine can tell: unplug it, wait until it has stopped, plug it in again");
            case DriveOpening.Taken { Drive: var drive }:
                return (drive, "");
            default:
                throw new System.Diagnostics.UnreachableException();
        }
    }

    private void Check(OpenDrive drive, RecheckRequest request, Tally tally, Action<long, long> progress, CancellationToken stop)
    {
        (tally.Due, tally.Left) = Due(drive, request);
        long total = tally.Due.Sum(copy => copy.Size);
        long done = 0;
        using var readBack = new ReadBack();
        bool emptied = ReadBack.EmptyDeviceCache(drive);
        try
        {
            foreach (CopyRecord copy in tally.Due)
            {
                stop.ThrowIfCancellationRequested();
                tally.Copies.Add(CheckOne(drive, copy, request, readBack, emptied, tally, bytes => progress(done += bytes, total), stop));
            }
        }
        catch (OperationCanceledException)
        {
            // What was found so far is told.
        }

        drive.Copies.Flush();
        tally.Tell(drive.State());
        tally.Unlisted = Unlisted(drive);
    }

    /// <summary>What is read now and what waits, oldest proof first. A clip larger than the limit waits for ever, so what waits is told.</summary>
    private (List<CopyRecord> Now, List<ByteCount> Left) Due(OpenDrive drive, RecheckRequest request)
    {
        Instant now = clock.GetCurrentInstant();
        List<CopyRecord> due = [];
        List<ByteCount> left = [];
        long bytes = 0;
        foreach (CopyRecord copy in drive.Copies.Copies.OrderBy(copy => copy.Verified).ThenBy(copy => copy.Path, StringComparer.Ordinal))
        {
            bool old = request.OlderThan is not { } age || now - copy.Verified > age;
            bool fits = request.MostBytes is not { } most || bytes + copy.Size <= most;
            if (old && fits)
            {
                due.Add(copy);
                bytes += copy.Size;
            }
            else if (old)
            {
                left.Add(new ByteCount(copy.Size));
            }
        }

        return (due, left);
    }

    private RecheckedCopy CheckOne(
        OpenDrive drive, CopyRecord copy, RecheckRequest request, ReadBack readBack, bool emptied, Tally tally, Action<long> progress, CancellationToken stop)
    {
        try
        {
            if (MediaFolder.Look(drive.Full(copy.Path)) is null)
            {
                return Bad(drive, copy, CopyFailure.Missing, "in the drive's list, but not on the drive", request, tally, stop);
            }

            (ClipHash hash, long size, ReadBackLevel level) = readBack.Hash(drive, copy.Path, emptied, progress, stop);
            level = Raised(level, drive, copy, request);
            if (hash == copy.Clip && size == copy.Size)
            {
                drive.Copies.Add(copy with { Level = level, Verified = clock.GetCurrentInstant() });
                tally.Tell(new CopyVerified(copy.Clip, drive.Drive, copy.Path, new ByteCount(size), level, Recheck: true));
                return new RecheckedCopy(copy.Path, copy.Clip, new ByteCount(copy.Size), level, null, null, Repaired: false);
            }

            drive.SetAside(copy.Path);
            return Bad(drive, copy, CopyFailure.HashDiffers, $"reads as {hash}, was {copy.Clip}; set aside in {DriveIdentity.Folder}/bad", request, tally, stop);
        }
        catch (MediaFault fault)
        {
            CopyFailure failure = FaultWords.OnDrive(drive, fault, whileReading: true);
            if (failure == CopyFailure.DriveGone)
            {
                tally.Tell(new CopyFailed(copy.Clip, drive.Drive, copy.Path, failure, FaultWords.Say(fault), null));
                return new RecheckedCopy(copy.Path, copy.Clip, new ByteCount(copy.Size), null, failure, FaultWords.Say(fault), Repaired: false);
            }

            drive.SetAside(copy.Path);
            return Bad(drive, copy, CopyFailure.ReadBackFailed, FaultWords.Say(fault), request, tally, stop);
        }
    }

    private static bool StayedOn(OpenDrive drive) =>
        drive.Copies.Copies is { Count: > 0 } copies && copies.All(copy => !DriveAttachment.PowerWasCut(copy.WrittenIn, drive.Attachment, PowerWord.WasUnpowered));

    // A reading through the cache proves nothing, whatever happened before.
    private static ReadBackLevel Raised(ReadBackLevel level, OpenDrive drive, CopyRecord copy, RecheckRequest request) =>
        level == ReadBackLevel.Cached ? level
        : DriveAttachment.PowerWasCut(copy.WrittenIn, drive.Attachment, request.Power) ? ReadBackLevel.PowerCycled
        : request.Remount ? ReadBackLevel.Remounted
        : level;

    private RecheckedCopy Bad(OpenDrive drive, CopyRecord copy, CopyFailure failure, string detail, RecheckRequest request, Tally tally, CancellationToken stop)
    {
        drive.Copies.Strike(copy.Path, detail);
        tally.Tell(new CopyFailed(copy.Clip, drive.Drive, copy.Path, failure, detail, null));
        var size = new ByteCount(copy.Size);
        RecheckedCopy bad = tally.Mending = new RecheckedCopy(copy.Path, copy.Clip, size, null, failure, detail, Repaired: false);
        foreach (string from in request.RepairFrom)
        {
            if (TryRepair(drive, copy, Path.GetFullPath(from), tally, stop) is { } repaired)
            {
                tally.Tell(new CopyMade(copy.Clip, drive.Drive, copy.Path, size));
                tally.Tell(new CopyVerified(copy.Clip, drive.Drive, copy.Path, size, repaired, Recheck: false));
                return bad with { Level = repaired, Detail = $"{detail}; mended from {from}", Repaired = true };
            }
        }

        return bad;
    }

    private ReadBackLevel? TryRepair(OpenDrive drive, CopyRecord copy, string from, Tally tally, CancellationToken stop)
    {
        string partial = drive.NextPartial();
        try
        {
            if (tally.Reading(from, () => SourceOf(from, copy)) is not { } source)
            {
                return null;
            }

            using (MediaFile target = MediaFile.Create(partial, wantDirect: false))
            {
                if (CopyBytes(from, source, target, tally, stop) != copy.Clip)
                {
                    MediaFolder.RemoveFile(partial);
                    return null;
                }

                target.SetModified((copy.Modified - NodaConstants.UnixEpoch).ToInt64Nanoseconds());
                target.Flush();
            }

            string folder = drive.MakeFolderOf(copy.Path);
            if (!MediaFolder.TryRename(partial, drive.Full(copy.Path)))
            {
                MediaFolder.RemoveFile(partial);
                return null;
            }

            MediaFolder.Flush(folder);
            using var readBack = new ReadBack();
            (ClipHash hash, long size, ReadBackLevel level) = readBack.Hash(drive, copy.Path, ReadBack.EmptyDeviceCache(drive), null, stop);
            if (hash != copy.Clip || size != copy.Size)
            {
                drive.SetAside(copy.Path);
                return null;
            }

            drive.Copies.Add(copy with { Level = level, Verified = clock.GetCurrentInstant(), WrittenIn = drive.Attachment });
            return level;
        }
        catch (MediaFault)
        {
            return null;
        }
    }

    private static string? SourceOf(string from, CopyRecord copy)
    {
        using CopyList list = CopyList.Open($"{from}/{DriveIdentity.Folder}/copies");
        return list.Copies.FirstOrDefault(other => other.Clip == copy.Clip && other.Size == copy.Size) is { } good ? $"{from}/{good.Path}" : null;
    }

    private static ClipHash CopyBytes(string from, string source, MediaFile target, Tally tally, CancellationToken stop)
    {
        using MediaFile file = tally.Reading(from, () => MediaFile.OpenRead(source, wantDirect: false));
        file.DropCache();
        var hash = new System.IO.Hashing.XxHash128();
        byte[] piece = new byte[PieceSize];
        for (long offset = 0; ;)
        {
            stop.ThrowIfCancellationRequested();
            int got = tally.Reading(from, () => file.Read(offset, piece));
            if (got == 0)
            {
                return new ClipHash(hash.GetCurrentHashAsUInt128());
            }

            hash.Append(piece.AsSpan(0, got));
            target.Write(offset, piece.AsSpan(0, got));
            offset += got;
        }
    }

    private static int Unlisted(OpenDrive drive)
    {
        try
        {
            return Cards.CardLister.List(drive.Root).Files.Count(file =>
                !file.Path.StartsWith($"{DriveIdentity.Folder}/", StringComparison.Ordinal)
                && !file.Path.StartsWith($"{Salvage.Folder}/", StringComparison.Ordinal)
                && !file.Path.Contains("ascmhl/", StringComparison.Ordinal)
                && drive.Copies.At(file.Shown) is null);
        }
        catch (MediaFault)
        {
            return 0;
        }
    }

    /// <summary>What was found so far.</summary>
    private sealed class Tally(Action<ReportBody> tell)
    {
        private string? _source;

        public IReadOnlyList<CopyRecord> Due { get; set; } = [];

        public IReadOnlyList<ByteCount> Left { get; set; } = [];

        public List<RecheckedCopy> Copies { get; } = [];

        public int Unlisted { get; set; }

        /// <summary>The bad copy that was last tried to be mended.</summary>
        public RecheckedCopy? Mending { get; set; }

        public void Tell(ReportBody report) => tell(report);

        /// <summary>Reads from the drive that copies are mended from: while that hangs, the drive that is mended is not to blame.</summary>
        public T Reading<T>(string from, Func<T> read)
        {
            Volatile.Write(ref _source, from);
            try
            {
                return read();
            }
            finally
            {
                Volatile.Write(ref _source, null);
            }
        }

        public RecheckOutcome Outcome(OpenDrive drive, bool stopped) => new(drive.Drive, Copies, Unlisted, stopped) { Left = Left };

        // The copy at which it hung failed; the others are left for another time.
        public RecheckOutcome Hung(OpenDrive drive, string silence)
        {
            List<ByteCount> left = [.. Left, .. Due.Skip(Copies.Count + 1).Select(copy => new ByteCount(copy.Size))];
            if (Volatile.Read(ref _source) is { } from)
            {
                silence = $"could not be mended from {from}: that drive {silence}";
                Copies.Add(Mending!);
            }
            else if (Due.Skip(Copies.Count).FirstOrDefault() is { } copy)
            {
                Tell(new CopyFailed(copy.Clip, drive.Drive, copy.Path, CopyFailure.DriveGone, $"the drive {silence}", null));
                Copies.Add(new RecheckedCopy(copy.Path, copy.Clip, new ByteCount(copy.Size), null, CopyFailure.DriveGone, $"the drive {silence}", Repaired: false));
            }

            return Outcome(drive, stopped: false) with { Left = left, Silence = silence };
        }
    }
}
