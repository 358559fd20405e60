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
    private readonly bool[] _silent = new bool[drives.Count];
    private readonly Lock _notes = new();
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

        if (!Note(drive, transfer.Index, new CopyOutcome(name, CopyState.Failed, path, null, failure, detail)))
        {
            return;
        }

        Progress(drive).Fail(detail);
        reports.Tell(new CopyFailed(clip, name, path, failure, detail, request.Card));
    }

    /// <summary>Whether a drive was given up because it did not answer.</summary>
    /// <param name="drive">Its number.</param>
    public bool IsSilent(int drive) => Volatile.Read(ref _silent[drive]);

    /// <summary>Notes what became of a copy.</summary>
    /// <param name="drive">The drive's number.</param>
    /// <param name="clip">The file's number.</param>
    /// <param name="outcome">What became of it.</param>
    /// <returns>False when the drive was given up before: what it says now changes nothing, and nobody is told.</returns>
    public bool Note(int drive, int clip, CopyOutcome outcome)
    {
        lock (_notes)
        {
            if (!_silent[drive])
            {
                outcomes[clip, drive] = outcome;
            }

            return !_silent[drive];
        }
    }

    /// <summary>Gives a drive up: each of its copies that is not proven failed.</summary>
    /// <param name="drive">The drive's number.</param>
    /// <param name="why">Why, for a person.</param>
    public void GiveUp(int drive, string why)
    {
        List<CopyOutcome> failed = [];
        lock (_notes)
        {
            Volatile.Write(ref _lost[drive], 1);
            Volatile.Write(ref _silent[drive], true);
            for (int clip = 0; clip < outcomes.Clips; clip++)
            {
                CopyOutcome copy = outcomes[clip, drive];
                if (copy.State is CopyState.NotMade or CopyState.Made)
                {
                    outcomes[clip, drive] = copy with { State = CopyState.Failed, Failure = CopyFailure.DriveGone, Detail = why };
                    failed.Add(outcomes[clip, drive]);
                }
            }
        }

        Progress(drive).Fail(why);
        failed.ForEach(copy => reports.Tell(new CopyFailed(null, copy.Drive, copy.Path, CopyFailure.DriveGone, why, request.Card)));
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
