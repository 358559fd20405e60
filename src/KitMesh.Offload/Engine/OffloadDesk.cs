using KitMesh.Domain.Reports;
using KitMesh.Footage.Clips;
using KitMesh.Offload.Drives;
using NodaTime;

namespace KitMesh.Offload.Engine;

/// <summary>What all lanes of one offload share: where outcomes go, who hears of them, when to stop.</summary>
internal sealed class OffloadDesk(
    OffloadRequest request,
    IReadOnlyList<OpenDrive> drives,
    OutcomeBoard outcomes,
    ReportOut reports,
    OffloadProgress progress,
    IClock clock,
    CancellationToken stop)
{
    private readonly int[] _lost = new int[drives.Count];
    private readonly List<CopyRecord>[] _proven = [.. drives.Select(_ => new List<CopyRecord>())];

    /// <summary>What is to be done.</summary>
    public OffloadRequest Request => request;

    /// <summary>What became of each copy.</summary>
    public OutcomeBoard Outcomes => outcomes;

    /// <summary>Who hears of facts.</summary>
    public ReportOut Reports => reports;

    /// <summary>Cancelled when the user stops.</summary>
    public CancellationToken Stop => stop;

    /// <summary>How far a drive is.</summary>
    /// <param name="drive">Its number.</param>
    public DriveProgress Progress(int drive) => progress.Drives[drive];

    /// <summary>Whether nothing more is expected of a drive.</summary>
    /// <param name="drive">Its number.</param>
    public bool IsLost(int drive) => Volatile.Read(ref _lost[drive]) != 0;

    /// <summary>Notes that a copy failed, and tells it.</summary>
    /// <param name="drive">The drive's number.</param>
    /// <param name="transfer">The file.</param>
    /// <param name="path">Path on the drive.</param>
    /// <param name="failure">What went wrong.</param>
    /// <param name="detail">What the system said.</param>
    /// <param name="endsDrive">True when nothing more is expected of the drive.</param>
    /// <param name="clip">The card's hash of the file, where it is known.</param>
    public void Fail(int drive, Transfer transfer, string path, CopyFailure failure, string detail, bool endsDrive = false, ClipHash? clip = null)
    {
        KitId name = drives[drive].Drive;
        if (endsDrive)
        {
            Volatile.Write(ref _lost[drive], 1);
        }

        Progress(drive).Fail(detail);
        outcomes[transfer.Index, drive] = new CopyOutcome(name, CopyState.Failed, path, null, failure, detail);
        reports.Tell(new CopyFailed(clip, name, path, failure, detail, request.Card));
    }

    /// <summary>The line for the drive's list.</summary>
    /// <param name="copy">The copy.</param>
    /// <param name="level">How surely it was read back.</param>
    /// <param name="drive">The drive that holds it.</param>
    /// <param name="writtenNow">True when this run wrote it; else nobody knows in which stretch of being attached it was written.</param>
    public CopyRecord Record(WrittenCopy copy, ReadBackLevel level, OpenDrive drive, bool writtenNow) => new(
        copy.Path,
        copy.Transfer.File.Size,
        copy.Digest.Clip,
        request.Card.Value,
        copy.Transfer.File.Shown,
        copy.Transfer.File.Modified,
        copy.Digest.Print,
        level,
        clock.GetCurrentInstant(),
        copy.Digest.Others)
    {
        WrittenIn = writtenNow ? drive.Attachment : null,
        Times = ClipTimes.Of(copy.Transfer.File.Shown, request.Card.Value, copy.Transfer.Structure),
    };

    /// <summary>Keeps a proven copy for the manifest of this run.</summary>
    /// <param name="drive">The drive's number.</param>
    /// <param name="record">The copy.</param>
    public void Proven(int drive, CopyRecord record)
    {
        lock (_proven[drive])
        {
            _proven[drive].Add(record);
        }
    }

    /// <summary>The copies that this run proved on a drive.</summary>
    /// <param name="drive">The drive's number.</param>
    public IReadOnlyList<CopyRecord> ProvenOn(int drive)
    {
        lock (_proven[drive])
        {
            return [.. _proven[drive]];
        }
    }
}
