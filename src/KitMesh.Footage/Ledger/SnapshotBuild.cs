using KitMesh.Domain;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using NodaTime;

namespace KitMesh.Footage.Ledger;

/// <summary>
/// One pass over all facts that judges every clip at one moment.
/// </summary>
/// <remarks>
/// Order first, then judge: clips are sorted by day, card, path and hash, and judged in that order, so that everything
/// counted on the way comes out in the order in which it is shown, whatever order the reports arrived in. A day and a card
/// fit one long, so that a million clips sort as plain numbers and only the clips of one card and day compare as text.
/// </remarks>
internal sealed class SnapshotBuild
{
    private readonly LedgerFacts _facts;
    private readonly Moment _moment;
    private readonly TripWriters _rights;
    private readonly KitView _kit;
    private readonly DriveView?[] _drives;
    private readonly DriveView[] _byRank;
    private readonly DriveTally[] _driveTallies;
    private readonly List<KitId> _cases;
    private readonly int[] _caseMark;
    private readonly int[] _caseMarkButForAge;
    private readonly KitId[] _cards;
    private readonly int[] _cardOfVisit;
    private readonly KitId?[] _sourceOfVisit;
    private readonly NameTable<KitId> _sources = new();
    private readonly List<SourceView> _sourceViews = [];
    private readonly Dictionary<(int Day, KitId? Team), int> _dayTeams = [];
    private readonly List<DayTally> _days = [];
    private readonly IdSets _driveSets = new();
    private readonly IdSets _cardSets = new();
    private readonly OddityList _oddities;
    private readonly ClipJudge _judge;
    private readonly DayRange _plausible;

    public SnapshotBuild(LedgerFacts facts, Moment moment, IWriterRights rights)
    {
        _facts = facts;
        _moment = moment;
        _kit = new KitView(facts, moment, rights);
        _rights = new TripWriters(_kit, rights);
        _oddities = new OddityList(facts);
        _cases = [.. _kit.Items<Case>().Select(item => item.Id).Order()];
        _caseMark = new int[_cases.Count];
        _caseMarkButForAge = new int[_cases.Count];
        _drives = new DriveView?[facts.Names.Count];
        _byRank = RankDrives();
        _driveTallies = [.. _byRank.Select(drive => new DriveTally(drive))];
        _cards = [.. facts.Cards.Keys.Order()];
        _cardOfVisit = [.. facts.Visits.Select(visit => Array.BinarySearch(_cards, visit.Card))];
        _sourceOfVisit = [.. facts.Visits.Select(SourceOf)];
        _judge = new ClipJudge(facts, moment, _drives, _rights, FactsExtent.Of(facts));
        _plausible = DayRange.Of(_kit);
    }

    public LedgerSnapshot Run()
    {
        ClipEntry[] entries = OrderClips();
        var positions = new int[_facts.Clips.Count];
        Array.Fill(positions, -1);
        for (int at = 0; at < entries.Length; at++)
        {
            positions[entries[at].Facts.Clip] = at;
            JudgeClip(ref entries[at], at + 1);
        }

        new KitOddities(_facts, _moment, _kit, _byRank).AddTo(_oddities);
        var cards = new CardJudge(_facts, _moment, _rights, _kit, _sourceViews, entries, positions, _oddities);
        ValueList<CardRow> cardRows = cards.Rows(_cards, _sourceOfVisit);
        return new LedgerSnapshot(new JudgedLedger
        {
            Facts = _facts,
            Moment = _moment,
            Extent = FactsExtent.Of(_facts),
            Rights = _rights,
            Kit = _kit,
            Entries = entries,
            Groups = new ClipGroups(entries),
            Positions = positions,
            HeldByCard = cards.HeldByCard,
            HeldContents = cards.HeldContents,
            Drives = _drives,
            DrivesByRank = _byRank,
            DriveTallies = _driveTallies,
            DriveSets = _driveSets,
            CardSets = _cardSets,
            CardNames = _cards,
            Sources = _sourceViews,
            DayTeams = _days,
            DriveRows = _driveTallies.Where(IsShown).Select(tally => tally.ToRow()).ToValueList(),
            CardRows = cardRows,
            DayRows = _days.Where(day => day.Clips > 0).OrderBy(day => day.Day).ThenBy(day => day.Team).Select(day => day.ToRow(_cases)).ToValueList(),
            Oddities = _oddities.ToRows(),
            OdditiesTotal = _oddities.Total,
            ClearingRows = new ClearingTally(entries, _driveSets, _byRank, _days).Rows(_kit, _driveTallies),
        });
    }

    private static bool IsShown(DriveTally tally) =>
        tally.Drive.Declared is not null || !tally.Drive.IsWithdrawn || tally.Drive.LastState is not null;

    private DriveView[] RankDrives()
    {
        foreach ((int number, DriveFacts drive) in _facts.Drives)
        {
            _drives[number] = new DriveView(_facts, _kit, _moment, drive);
        }

        DriveView[] ranked = [.. _drives.OfType<DriveView>().OrderBy(drive => drive.Name)];
        for (int rank = 0; rank < ranked.Length; rank++)
        {
            ranked[rank].Rank = rank;
            ranked[rank].CaseNumber = ranked[rank].Case is { } inside ? _cases.BinarySearch(inside) : -1;
        }

        foreach (IGrouping<string, DriveView> twins in ranked
            .Where(drive => drive.Identity is not null && !drive.IsWithdrawn)
            .GroupBy(drive => drive.Identity!)
            .Where(group => group.Count() > 1))
        {
            foreach (DriveView drive in twins)
            {
                drive.SharedWith = twins.First(other => other != drive).Name;
            }
        }

        return ranked;
    }

    private KitId? SourceOf(CardVisit visit)
    {
        (PackedStamp Stamp, CardSeen Fact)? latest = null;
        foreach ((PackedStamp Stamp, CardSeen Fact) seen in visit.Seen)
        {
            if (seen.Fact.Source is not null && (latest is not { } best || _facts.Compare(seen.Stamp, best.Stamp) > 0))
            {
                latest = seen;
            }
        }

        return latest?.Fact.Source ?? _kit.Find<Card>(KitKind.Card, visit.Card)?.Source;
    }

    private ClipEntry[] OrderClips()
    {
        var unordered = new ClipEntry[_facts.Clips.Count];
        var keys = new long[unordered.Length];
        int count = 0;
        for (int clip = 0; clip < unordered.Length; clip++)
        {
            if (!_judge.TryReadClip(clip, out ClipFacts read))
            {
                NoteStrayCopy(clip);
                continue;
            }

            ref ClipEntry entry = ref unordered[count];
            entry.Facts = read;
            ref Sighting sighting = ref _facts.Sightings[read.Sighting];
            entry.Day = DayOf(sighting);
            entry.LengthTicks = sighting.LengthTicks;
            entry.Source = Source(sighting.Source >= 0 ? _facts.Names[sighting.Source] : _sourceOfVisit[sighting.Visit]);
            entry.Cards = CardsOf(clip);
            keys[count] = ((long)entry.Day << 32) | (uint)_cardOfVisit[sighting.Visit];
            count++;
        }

        return Sorted(unordered, keys, count);
    }

    private ClipEntry[] Sorted(ClipEntry[] unordered, long[] keys, int count)
    {
        var order = new int[count];
        for (int i = 0; i < count; i++)
        {
            order[i] = i;
        }

        Array.Sort(keys, order, 0, count);
        Comparison<int> byPath = (left, right) => ComparePath(unordered[left].Facts, unordered[right].Facts);
        for (int from = 0; from < count;)
        {
            int to = from + 1;
            while (to < count && keys[to] == keys[from])
            {
                to++;
            }

            order.AsSpan(from, to - from).Sort(byPath);
            from = to;
        }

        var entries = new ClipEntry[count];
        for (int i = 0; i < count; i++)
        {
            entries[i] = unordered[order[i]];
        }

        return entries;
    }

    private int ComparePath(in ClipFacts left, in ClipFacts right)
    {
        int byPath = string.CompareOrdinal(
            _facts.Paths[_facts.Sightings[left.Sighting].Path],
            _facts.Paths[_facts.Sightings[right.Sighting].Path]);
        return byPath != 0 ? byPath : _facts.Clips[left.Clip].CompareTo(_facts.Clips[right.Clip]);
    }

    private int DayOf(in Sighting sighting)
    {
        int found = _plausible.DayNumber(sighting.Stamp.Ticks);
        if (sighting.RecordedTicks == Sighting.Untold)
        {
            return found;
        }

        int recorded = _plausible.DayNumber(sighting.RecordedTicks);
        return _plausible.CanBe(recorded, found) ? recorded : found;
    }

    private int Source(KitId? id)
    {
        if (id is not { } name)
        {
            // Clips of an unknown source share one entry, without a name.
            name = default;
        }

        int number = _sources.Number(name);
        if (number == _sourceViews.Count)
        {
            FootageSource? declared = id is null ? null : _kit.Find<FootageSource>(KitKind.FootageSource, name);
            _sourceViews.Add(new SourceView(id, declared?.Team, _kit.RuleFor(id)));
        }

        return number;
    }

    private int CardsOf(int clip)
    {
        int set = IdSets.Empty;
        for (int row = _facts.FirstSighting(clip); row >= 0; row = _facts.Sightings[row].NextOfClip)
        {
            set = _cardSets.With(set, _cardOfVisit[_facts.Sightings[row].Visit]);
        }

        return set;
    }

    private void JudgeClip(ref ClipEntry entry, int mark)
    {
        SourceView source = _sourceViews[entry.Source];
        _judge.Judge(entry.Facts, source.Rule);
        entry.DayTeam = DayTeam(entry.Day, source.Team);
        DayTally day = _days[entry.DayTeam];
        ProofCount aged = default;
        int lastDrive = -1;
        int lastAgedDrive = -1;
        foreach (ref readonly CopyJudgement copy in _judge.Copies)
        {
            int rank = copy.Drive.Rank;
            entry.AllDrives = _driveSets.With(entry.AllDrives, rank);
            NoteOddCopy(entry, copy);
            if (copy.Drive.IsIntermediate)
            {
                bool isHeld = copy.Standing is CopyStanding.Proven or CopyStanding.Overdue or CopyStanding.Made;
                entry.OnIntermediates = isHeld ? _driveSets.With(entry.OnIntermediates, rank) : entry.OnIntermediates;
                continue;
            }

            if (copy.Standing is not (CopyStanding.Proven or CopyStanding.Overdue))
            {
                entry.MadeDrives = copy.Standing == CopyStanding.Made ? _driveSets.With(entry.MadeDrives, rank) : entry.MadeDrives;
                continue;
            }

            int inCase = copy.Drive.CaseNumber;
            entry.SureDrives = _driveSets.With(entry.SureDrives, rank);
            aged.Add(rank != lastAgedDrive, IsNew(_caseMarkButForAge, inCase, mark), copy.Drive.Medium);
            lastAgedDrive = rank;
            if (copy.Standing == CopyStanding.Proven)
            {
                entry.Proof.Add(rank != lastDrive, IsNew(_caseMark, inCase, mark), copy.Drive.Medium);
                lastDrive = rank;
                day.AddCopy(inCase);
            }
            else
            {
                day.AddOverdueCopy(inCase);
            }
        }

        entry.CopiesMissing = (ushort)Math.Clamp(source.Rule.Copies - entry.Proof.Copies, 0, ushort.MaxValue);
        entry.MeetsRule = source.Rule.IsMetBy(entry.Proof);
        entry.MeetsRuleButForAge = source.Rule.IsMetBy(aged);
        TallyDrives(ref entry, source.Rule.AgeTicks);
        day.AddClip(entry, aged.Copies);
    }

    private void TallyDrives(ref ClipEntry entry, long ageTicks)
    {
        foreach (ref readonly CopyJudgement copy in _judge.Copies)
        {
            if (copy.Drive.IsIntermediate)
            {
                // What was cleared after the rule was met is no loss; what may not be cleared yet is one more copy.
                if (entry.MeetsRuleButForAge && copy.Doubt == CopyDoubt.Missing)
                {
                    continue;
                }

                if (!entry.MeetsRule)
                {
                    HoldForNow(ref entry, copy);
                }
            }

            _driveTallies[copy.Drive.Rank].Add(copy, ageTicks);
        }
    }

    private void HoldForNow(ref ClipEntry entry, in CopyJudgement copy)
    {
        if (copy.Standing is CopyStanding.Proven or CopyStanding.Overdue)
        {
            entry.SureDrives = _driveSets.With(entry.SureDrives, copy.Drive.Rank);
        }
        else if (copy.Standing == CopyStanding.Made)
        {
            entry.MadeDrives = _driveSets.With(entry.MadeDrives, copy.Drive.Rank);
        }
    }

    private static bool IsNew(int[] marks, int inCase, int mark)
    {
        if (inCase < 0 || marks[inCase] == mark)
        {
            return false;
        }

        marks[inCase] = mark;
        return true;
    }

    private int DayTeam(int day, KitId? team)
    {
        if (!_dayTeams.TryGetValue((day, team), out int number))
        {
            number = _days.Count;
            _dayTeams.Add((day, team), number);
            _days.Add(new DayTally(DayRange.Date(day), team, _cases.Count));
        }

        return number;
    }

    private void NoteStrayCopy(int clip)
    {
        int row = _facts.FirstEvent(clip);
        if (row < 0 || !_moment.Heeds(_facts.Events[row].Stamp.Ticks))
        {
            return;
        }

        int earliest = row;
        for (; row >= 0; row = _facts.Events[row].NextOfClip)
        {
            earliest = _facts.Compare(_facts.Events[row].Stamp, _facts.Events[earliest].Stamp) < 0 ? row : earliest;
        }

        ref CopyEvent first = ref _facts.Events[earliest];
        KitId drive = _facts.Names[first.Drive];
        _oddities.Add(first.Stamp, drive, new ClipHash(_facts.Clips[clip]), () =>
            $"{drive} is said to hold a copy of a clip that no card is known to have held: the card's reports may still be on their way");
    }

    private void NoteOddCopy(in ClipEntry entry, in CopyJudgement copy)
    {
        if (copy.Standing != CopyStanding.Odd)
        {
            return;
        }

        (CopyDoubt doubt, KitId drive, PackedStamp stamp) = (copy.Doubt, copy.Drive.Name, copy.OddStamp);
        var clip = new ClipHash(_facts.Clips[entry.Facts.Clip]);
        _oddities.Add(stamp, drive, clip, () => CopyWords.Reason(doubt, _drives[_facts.Names.Find(drive)]!)!);
    }
}
