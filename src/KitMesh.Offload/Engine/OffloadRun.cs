using KitMesh.Disk.Media;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Footage.Clips;
using KitMesh.Offload.Cards;
using KitMesh.Offload.Drives;
using KitMesh.Offload.Hashing;
using NodaTime;

namespace KitMesh.Offload.Engine;

// The problem: read a card once and have every byte on all drives, at the pace of the slowest, without one slow drive or
// one slow hash stopping the rest longer than the memory for buffers forces. The trap: a resumed run must neither copy a
// good file again nor believe one that was only half proven. The method: one reader, one lane (a thread with a bounded
// queue) for each hash and each drive, buffers shared by count. For each file, in the order of the card, each drive is
// asked what it holds: a proven copy in its list whose size, time and samples agree is taken as it is; a file under the
// right name that is in no list is read back and compared with a reading of the card; everything else is copied.

/// <summary>One offload, from the listing of the card to the outcome.</summary>
internal sealed class OffloadRun
{
    // What may be held at once is 24 MiB here and twice ReadBack's piece for each drive: with three drives, the program
    // itself and the list of 2,000 files stay under 128 MiB.
    private const int BufferSize = 4 << 20;
    private const int Buffers = 6;
    private static readonly Duration StillFresh = Duration.FromDays(1);

    private readonly OffloadRequest _request;
    private readonly IReadOnlyList<OpenDrive> _drives;
    private readonly CardListing _listing;
    private readonly ReportOut _reports;
    private readonly OffloadProgress _progress;
    private readonly IClock _clock;
    private readonly TimeProvider _time;
    private readonly CancellationToken _stop;
    private readonly IReadOnlyList<string> _places;
    private readonly OutcomeBoard _outcomes;
    private readonly OffloadDesk _desk;
    private readonly List<string> _remarks = [];
    private readonly CardHistory _history;
    private readonly MediaVolume _cardVolume;
    private readonly PatientCall _card;
    private readonly List<Transfer> _broken = [];
    private readonly IReadOnlyList<DeviceTurn?> _turns;
    private readonly DriveWatch _watch;
    private bool _cardGone;
    private int _at;

    public OffloadRun(
        OffloadRequest request,
        IReadOnlyList<OpenDrive> drives,
        CardContent content,
        PatientCall card,
        ReportOut reports,
        OffloadProgress progress,
        IClock clock,
        TimeProvider time,
        CancellationToken stop)
    {
        _history = content.History;
        _cardVolume = content.Volume;
        _card = card;
        CardListing listing = content.Listing;
        _request = request;
        _drives = drives;
        _listing = listing;
        _reports = reports;
        _progress = progress;
        _clock = clock;
        _time = time;
        _stop = stop;
        _places = [.. listing.Files.Select(file => request.Template.Place(file.Shown, file.Modified, request.Card, request.Source))];
        _outcomes = new OutcomeBoard(listing.Files, _places, [.. drives.Select(drive => drive.Drive)]);
        _desk = new OffloadDesk(request, drives, _outcomes, reports, progress, clock, stop);
        _turns = DeviceTurn.Among([.. drives.Select(drive => (drive.Mount?.Disk(), TakesTurns(drive)))]);
        _progress.Start(_listing.TotalBytes, [.. _drives.Select(drive => new DriveProgress(drive.Drive))]);
        _watch = new DriveWatch(drives, _turns, _desk, time, request.Patience);
    }

    /// <summary>Whether a drive was given up because it did not answer; then closing its files may hang too.</summary>
    /// <param name="drive">Its number.</param>
    public bool IsSilent(int drive) => _desk.IsSilent(drive);

    /// <summary>Adds what a person should know.</summary>
    /// <param name="remarks">The remarks.</param>
    public void Remark(IEnumerable<string> remarks) => _remarks.AddRange(remarks);

    /// <summary>Does it.</summary>
    public OffloadOutcome Go()
    {
        using DriveWatch watch = _watch;
        Instant started = _clock.GetCurrentInstant();
        List<DriveState> states = TellStart();
        SpacePlan[] plans = [.. _drives.Select((_, i) => Plan(i))];
        _remarks.AddRange(plans.Select(plan => plan.Why).OfType<string>());
        bool stopped = Pump(plans);
        SalvageBroken(stopped);
        bool steady = false;
        AskCard(() => steady = IsSteady());
        if (_request.Manifests)
        {
            RunManifests.Write(_drives, _desk, _watch, started, _remarks);
        }

        for (int i = 0; i < _drives.Count; i++)
        {
            states[i] = StateOf(i) ?? states[i];
        }

        states.ForEach(_reports.Tell);
        List<OpenDrive> answering = [.. _drives.Where((_, i) => !_desk.IsSilent(i))];
        return new OffloadOutcome(
            _request.Card,
            _outcomes.ToOutcomes(),
            _listing.PassedOver,
            _listing.Unreadable,
            states,
            _request.CopiesWanted,
            steady,
            stopped,
            _remarks)
        {
            SoundLacks = SoundOfTheDays.Lacks(answering, _request.Card.Value),
            MissingChapters = ChapterGaps.Find(_listing.Files.Select(file => file.Shown), new ChaptersElsewhere(answering, _request.Card.Value, _listing.Files).Has),
        };
    }

    private SpacePlan Plan(int drive)
    {
        SpacePlan plan = SpacePlan.None;
        _watch.TryCall(drive, () => plan = SpacePlan.For(_drives[drive], _listing.Files, _places, _request.FitDays));
        return plan;
    }

    // Null when the drive does not answer.
    private DriveState? StateOf(int drive)
    {
        DriveState? state = null;
        return _watch.TryCall(drive, () => state = _drives[drive].State()) ? state : null;
    }

    private void SalvageBroken(bool stopped)
    {
        var salvage = new Salvage(_drives, _desk, _watch);
        foreach (Transfer transfer in stopped ? [] : _broken)
        {
            AskCard(() =>
            {
                if (salvage.Save(transfer) is { } words)
                {
                    _remarks.Add(words);
                }
            });
        }
    }

    // Does nothing once the card is gone, and sees to it that it counts as gone when it hangs.
    private bool AskCard(Action work, bool throughout = false)
    {
        if (_cardGone)
        {
            return false;
        }

        if (_card.Try(work, throughout))
        {
            return true;
        }

        _cardGone = true;
        _remarks.Add($"the card {FaultWords.Silence(_request.Patience)} and was given up. Take it out, put it in again, and run the offload again");
        return false;
    }

    private List<DriveState> TellStart()
    {
        List<DriveState> states = [];
        if (_request.ProtectCard && MountTable.Of(_request.CardRoot) is { IsReadOnly: false } mount && mount.Root == _request.CardRoot)
        {
            bool done = false;
            AskCard(() => done = Mounting.TryProtect(mount.Root), throughout: true);
            _remarks.Add(done
                ? "the card's mount was made read-only for as long as it stays in"
                : "the card's mount could not be made read-only here; nothing is written to it all the same");
        }

        _reports.Tell(new CardSeen(
            _request.Card,
            _request.Insertion,
            _request.Source,
            new ByteCount(_cardVolume.Capacity),
            new ByteCount(_listing.TotalBytes),
            _listing.Files.Count));
        for (int i = 0; i < _drives.Count; i++)
        {
            OpenDrive drive = _drives[i];
            states.Add(StateOf(i) ?? drive.StateUnasked());
            _reports.Tell(states[i]);
            if (drive.Cleaned > 0)
            {
                _remarks.Add(FormattableString.Invariant($"{drive.Drive}: {drive.Cleaned} unfinished files of an earlier run were removed"));
            }

            if (drive.Copies.BadLines > 0)
            {
                _remarks.Add(FormattableString.Invariant($"{drive.Drive}: {drive.Copies.BadLines} lines of its list of copies were torn; what they told is read again"));
            }
        }

        if (_history.Fault is { } wrong)
        {
            _remarks.Add($"the card comes with a manifest that is not sound, so nothing was compared with it: {wrong}");
        }

        foreach (CardRemark remark in _listing.Unreadable)
        {
            _reports.Tell(new CopyFailed(null, null, remark.Path, CopyFailure.CardUnreadable, remark.Reason, _request.Card));
        }

        foreach (var shared in _drives.GroupBy(drive => drive.Device).Where(group => group.Count() > 1))
        {
            _remarks.Add($"{string.Join(" and ", shared.Select(drive => drive.Drive))} are folders on one device: when it fails, both are lost");
        }

        return states;
    }

    private bool Pump(SpacePlan[] plans)
    {
        using var pool = new BufferPool(Buffers, BufferSize);
        HashKind[] kinds = [.. _request.ExtraHashes.Concat(_history.Needed).Prepend(HashKind.Xxh128).Distinct()];
        var board = new HashBoard(kinds.Length, Know);
        List<HashLane> hashes = [.. kinds.Select(kind => new HashLane(kind, board))];
        List<DriveLane> lanes = [.. _drives.Select((drive, i) => new DriveLane(drive, i, _desk, _time, _turns[i], _watch.Of(i)))];
        List<Lane> all = [.. hashes, .. lanes];
        all.ForEach(lane => lane.Start());
        _watch.Guard(lanes);
        var reader = new CardReader(pool, hashes, _progress);
        bool stopped = false;
        try
        {
            // The whole loop is the card's own thread: one that hangs stands still in a call to the card.
            if (!AskCard(() => stopped = TakeAll(reader, lanes, plans)))
            {
                reader.LeaveBehind();
                BlameTheRest();
            }
        }
        finally
        {
            // Also when a fault of this program ends the loop: threads and buffers must not outlive the offload. All end
            // before the first is joined, since joining tells a lane's own fault by throwing.
            reader.CloseShelf();
            all.ForEach(lane => lane.Close());
            foreach (Lane lane in all.ToList().Where(one => one.End()))
            {
                lane.Dispose();
            }
        }

        all.ForEach(lane => lane.ThrowIfFaulted());
        return stopped || _stop.IsCancellationRequested;
    }

    /// <returns>True when it was stopped before the end.</returns>
    private bool TakeAll(CardReader reader, List<DriveLane> lanes, SpacePlan[] plans)
    {
        try
        {
            for (; _at < _listing.Files.Count; _at++)
            {
                _stop.ThrowIfCancellationRequested();
                Take(_at, reader, lanes, plans);
            }

            return false;
        }
        catch (OperationCanceledException)
        {
            return true;
        }
    }

    private void BlameTheRest()
    {
        foreach (int index in Enumerable.Range(_at, _listing.Files.Count - _at))
        {
            Blame(new Transfer(index, _listing.Files[index], _places[index]), CopyFailure.CardUnreadable, $"the card {FaultWords.Silence(_request.Patience)} and was given up before this file was read");
        }
    }

    private bool TakesTurns(OpenDrive drive) => _request.Turns ?? (_request.Order != ReadBackOrder.Overlapping && drive.Mount?.Spins() == true);

    private void Take(int index, CardReader reader, List<DriveLane> lanes, SpacePlan[] plans)
    {
        CardFile file = _listing.Files[index];
        _progress.At(file.Shown);
        var transfer = new Transfer(index, file, _places[index]);
        if (_cardGone)
        {
            Blame(transfer, CopyFailure.CardUnreadable, "the card went away before this file was read");
            return;
        }

        transfer.Structure = ClipLook.At(file);
        _outcomes.Damaged(index, transfer.Structure.Damage);
        List<DriveLane> missing = [.. lanes.Where(lane => !Holds(lane, transfer, reader))];
        if (missing.Count == 0)
        {
            _progress.AddRead(file.Size);
            return;
        }

        missing.RemoveAll(lane => Refuses(lane, transfer, plans[lane.Number]));
        if (missing.Count > 0)
        {
            Copy(transfer, reader, missing);
        }
        else
        {
            _progress.AddRead(file.Size);
        }
    }

    private bool Refuses(DriveLane lane, Transfer transfer, SpacePlan plan)
    {
        if (lane.IsLost)
        {
            _desk.Fail(lane.Number, transfer, transfer.Place, CopyFailure.DriveGone, "the drive failed earlier in this run");
            return true;
        }

        if (!plan.Takes(transfer.File))
        {
            _desk.Fail(lane.Number, transfer, transfer.Place, CopyFailure.DriveFull, plan.Why!);
            return true;
        }

        return false;
    }

    private void Copy(Transfer transfer, CardReader reader, List<DriveLane> missing)
    {
        Dictionary<DriveLane, IReadOnlyList<string>> candidates = Candidates(transfer, missing);
        if (candidates.Values.Any(paths => paths.Count > 0))
        {
            bool read = TryRead(transfer, reader, []);
            reader.TellHeld();
            if (!read)
            {
                return;
            }

            Adopt(transfer, candidates, missing);
            transfer = new Transfer(transfer.Index, transfer.File, transfer.Place) { Structure = transfer.Structure };
        }

        if (missing.Count > 0)
        {
            TryRead(transfer, reader, missing);
        }
    }

    private Dictionary<DriveLane, IReadOnlyList<string>> Candidates(Transfer transfer, List<DriveLane> missing)
    {
        Dictionary<DriveLane, IReadOnlyList<string>> found = [];
        foreach (DriveLane lane in missing.ToList())
        {
            try
            {
                IReadOnlyList<string> paths = [];
                if (lane.Drive.IsKnownNewFolderOf(transfer.Place) || _watch.TryCall(lane.Number, () => paths = KnownCopies.Candidates(lane.Drive, transfer.Place, transfer.File.Size)))
                {
                    found[lane] = paths;
                }
                else
                {
                    missing.Remove(lane);
                }
            }
            catch (MediaFault fault)
            {
                CopyFailure failure = FaultWords.OnDrive(lane.Drive, fault, whileReading: false);
                _desk.Fail(lane.Number, transfer, transfer.Place, failure, FaultWords.Say(fault), FaultWords.EndsDrive(failure, fault));
                missing.Remove(lane);
            }
        }

        return found;
    }

    private static void Adopt(Transfer transfer, Dictionary<DriveLane, IReadOnlyList<string>> candidates, List<DriveLane> missing)
    {
        List<(DriveLane Lane, Task<bool> Answer)> asked = [];
        foreach ((DriveLane lane, IReadOnlyList<string> paths) in candidates.Where(pair => pair.Value.Count > 0))
        {
            var answer = new TaskCompletionSource<bool>(TaskCreationOptions.RunContinuationsAsynchronously);
            lane.Post(new LaneOrder(LaneStep.Adopt, transfer, Candidates: paths, Answer: answer));
            asked.Add((lane, answer.Task));
        }

        foreach ((DriveLane lane, Task<bool> answer) in asked)
        {
            if (answer.GetAwaiter().GetResult())
            {
                missing.Remove(lane);
            }
        }
    }

    private bool TryRead(Transfer transfer, CardReader reader, IReadOnlyList<DriveLane> takers)
    {
        if (reader.Read(transfer, takers, _stop) is not { } wrong)
        {
            return true;
        }

        Blame(transfer, wrong.Failure, wrong.Detail);
        if (wrong.Failure == CopyFailure.CardUnreadable && transfer.File.Size > 0)
        {
            _broken.Add(transfer);
        }

        _cardGone = MediaIsGone(_request.CardRoot);
        return false;
    }

    private static bool MediaIsGone(string root)
    {
        try
        {
            return MediaFolder.Look(root) is null || MediaFolder.List(root).Count == 0;
        }
        catch (MediaFault)
        {
            return true;
        }
    }

    private void Blame(Transfer transfer, CopyFailure failure, string detail)
    {
        _outcomes.Blame(transfer.Index, failure, detail);
        _reports.Tell(new CopyFailed(null, null, transfer.File.Shown, failure, detail, _request.Card));
    }

    /// <summary>Whether a drive holds a proven copy already; then nothing of the file is copied there.</summary>
    private bool Holds(DriveLane lane, Transfer transfer, CardReader reader)
    {
        if (_request.RereadKnown || lane.IsLost)
        {
            return false;
        }

        foreach (CopyRecord copy in KnownCopies.Listed(lane.Drive, transfer.File))
        {
            try
            {
                bool isThere = false;
                if (!_watch.TryCall(lane.Number, () => isThere = lane.Drive.StillHolds(copy)))
                {
                    return false;
                }

                if (!isThere)
                {
                    _reports.Tell(new CopyFailed(copy.Clip, lane.Drive.Drive, copy.Path, CopyFailure.Missing, "in the drive's list, but not on the drive", _request.Card));
                    continue;
                }
            }
            catch (MediaFault)
            {
                // The copying that follows will say what is wrong with the drive.
                return false;
            }

            transfer.Print ??= reader.Print(transfer.File);
            if (transfer.Print == copy.Print)
            {
                Accept(lane, transfer, copy);
                return true;
            }
        }

        return false;
    }

    private void Accept(DriveLane lane, Transfer transfer, CopyRecord copy)
    {
        Know(transfer, new ClipDigest(copy.Clip, copy.Print, copy.Hashes));
        if (!_desk.Note(lane.Number, transfer.Index, new CopyOutcome(lane.Drive.Drive, CopyState.VerifiedBefore, copy.Path, copy.Level)))
        {
            return;
        }

        _desk.Progress(lane.Number).AddWritten(copy.Size);
        _desk.Progress(lane.Number).AddProven(copy.Size);

        // An earlier run may have died before it told. What was proven long ago is for a recheck to prove again.
        var size = new ByteCount(copy.Size);
        _reports.Tell(new CopyMade(copy.Clip, lane.Drive.Drive, copy.Path, size));
        if (_clock.GetCurrentInstant() - copy.Verified is var age && age < StillFresh && age > -StillFresh)
        {
            _reports.Tell(new CopyVerified(copy.Clip, lane.Drive.Drive, copy.Path, size, copy.Level, Recheck: false));
        }
    }

    private void Know(Transfer transfer, ClipDigest digest)
    {
        if (!_outcomes.TryKnow(transfer.Index, digest))
        {
            return;
        }

        if (_history.Objection(transfer.File.Shown, digest) is { } objection)
        {
            transfer.Structure = transfer.Structure with { Damage = objection };
            _outcomes.Damaged(transfer.Index, objection);
        }

        _reports.Tell(ClipLook.Found(_request, transfer.File, digest.Clip, transfer.Structure));
    }

    private bool IsSteady()
    {
        try
        {
            CardListing now = CardLister.List(_request.CardRoot);
            return now.Files.SequenceEqual(_listing.Files) && now.Unreadable.Count <= _listing.Unreadable.Count;
        }
        catch (MediaFault)
        {
            return false;
        }
    }
}
