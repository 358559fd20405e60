using System.Runtime.CompilerServices;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Reports;
using NodaTime;

namespace KitMesh.Footage.Ledger;

/// <summary>
/// Every report about footage, packed into tables. Adding commutes: the tables hold the same set of facts in whatever order
/// the reports come, and nothing is concluded here. Conclusions are drawn by <see cref="LedgerSnapshot"/>.
/// </summary>
internal sealed class LedgerFacts
{
    private const long LongestLengthTicks = 400 * NodaConstants.TicksPerDay;

    private readonly List<int> _firstSighting = [];
    private readonly List<int> _firstEvent = [];

    /// <summary>Held while facts are filed and while they are read: a snapshot is read long after, beside new reports.</summary>
    public Lock Gate { get; } = new();

    public NameTable<OriginId> Origins { get; } = new();

    public NameTable<UInt128> Clips { get; } = new();

    public NameTable<string> Paths { get; } = new();

    public NameTable<KitId> Names { get; } = new();

    public NameTable<string> Damages { get; } = new();

    public GrowingTable<Sighting> Sightings { get; } = new();

    public GrowingTable<CopyEvent> Events { get; } = new();

    public List<CardVisit> Visits { get; } = [];

    public Dictionary<KitId, CardFacts> Cards { get; } = [];

    public Dictionary<int, DriveFacts> Drives { get; } = [];

    public KitFacts Kit { get; } = new();

    /// <summary>Head of the chain of sightings of a clip, or -1.</summary>
    public int FirstSighting(int clip) => _firstSighting[clip];

    /// <summary>Head of the chain of copy events of a clip, or -1.</summary>
    public int FirstEvent(int clip) => _firstEvent[clip];

    public ReportKey Key(in PackedStamp stamp) => new(Origins[stamp.Origin], stamp.Sequence);

    /// <summary>The fold's order: time, origin, sequence.</summary>
    public int Compare(in PackedStamp left, in PackedStamp right)
    {
        int byTime = left.Ticks.CompareTo(right.Ticks);
        if (byTime != 0)
        {
            return byTime;
        }

        int byOrigin = left.Origin == right.Origin ? 0 : Origins[left.Origin].CompareTo(Origins[right.Origin]);
        return byOrigin != 0 ? byOrigin : left.Sequence.CompareTo(right.Sequence);
    }

    /// <summary>Whether one fact came before another: inside an origin the journal decides, across origins the time does.</summary>
    public static bool Precedes(in PackedStamp early, in PackedStamp late) =>
        early.Origin == late.Origin ? early.Sequence < late.Sequence : early.Ticks < late.Ticks;

    public void Add(TimedReport timed)
    {
        lock (Gate)
        {
            File(timed);
        }
    }

    private void File(TimedReport timed)
    {
        var stamp = new PackedStamp(timed.Time.ToUnixTimeTicks(), timed.Report.Key.Sequence, Origins.Number(timed.Report.Key.Origin));
        switch (timed.Report.Body)
        {
            case CopyVerified copy:
                AddEvent(stamp, copy.Clip, copy.Drive, copy.Path, copy.Size.Value, CopyEventKind.Verified, copy.Level);
                break;
            case CopyMade copy:
                AddEvent(stamp, copy.Clip, copy.Drive, copy.Path, copy.Size.Value, CopyEventKind.Made);
                break;
            case ClipFound clip:
                AddSighting(stamp, clip);
                break;
            case CopyFailed failed:
                AddFailure(stamp, failed);
                break;
            case CardSeen seen:
                Visit(seen.Card, seen.Insertion, stamp).Seen.Add((stamp, seen));
                break;
            case CardFormatted formatted:
                Card(formatted.Card).Formats.Add((stamp, formatted));
                break;
            case CardReleased released:
                Card(released.Card).Releases.Add((stamp, released));
                break;
            case DriveState state:
                Drive(state.Drive).States.Add((stamp, state));
                break;
            case KitDeclared declared:
                AddDeclared(stamp, declared);
                break;
            case KitPlaced placed:
                Kit.Place(stamp, placed);
                break;
            default:
                // Readings, notes and clocks say nothing about footage.
                break;
        }
    }

    private void AddDeclared(PackedStamp stamp, KitDeclared declared)
    {
        Kit.Declare(stamp, declared);
        switch (declared.Item)
        {
            case Drive drive:
                Drive(drive.Id);
                break;
            case Card card:
                Card(card.Id);
                break;
            default:
                break;
        }
    }

    private void AddSighting(PackedStamp stamp, ClipFound found)
    {
        int clip = Clip(found.Clip);
        CardVisit visit = Visit(found.Card, found.Insertion, stamp);
        int row = Sightings.Add(new Sighting
        {
            Stamp = stamp,
            Size = found.Size.Value,
            RecordedTicks = found.Recorded?.ToUnixTimeTicks() ?? Sighting.Untold,
            LengthTicks = LengthTicks(found.Length),
            Clip = clip,
            Visit = visit.Index,
            Path = Paths.Number(found.Path),
            Source = found.Source is { } source ? Names.Number(source) : NameTable<KitId>.None,
            Damage = found.Damage is { } damage ? Damages.Number(damage) : NameTable<string>.None,
            TimecodeSeconds = found.Timecode is { } code && code >= Duration.Zero && code < Duration.FromDays(1) ? (int)code.TotalSeconds : -1,
            NextOfClip = _firstSighting[clip],
            NextInVisit = visit.FirstSighting,
        });
        _firstSighting[clip] = row;
        visit.FirstSighting = row;
    }

    private void AddFailure(PackedStamp stamp, CopyFailed failed)
    {
        if (failed.Card is { } card && (failed.Drive is null || failed.Failure is CopyFailure.CardUnreadable or CopyFailure.ClipChanged))
        {
            Card(card).Faults.Add((stamp, failed));
            return;
        }

        if (failed.Drive is not { } drive)
        {
            // Neither a card nor a drive is named: nothing that it could be about.
            return;
        }

        if (failed.Clip is { } clip)
        {
            AddEvent(stamp, clip, drive, failed.Path, 0, CopyEventKind.Failed, failure: failed.Failure);
        }
        else
        {
            Drive(drive).NamelessFailures.Add((stamp, failed));
        }
    }

    private void AddEvent(
        PackedStamp stamp,
        ClipHash hash,
        KitId driveName,
        string path,
        long size,
        CopyEventKind kind,
        ReadBackLevel level = ReadBackLevel.Cached,
        CopyFailure failure = CopyFailure.Unknown)
    {
        int clip = Clip(hash);

        // Most copies of a clip have one path on every drive: comparing one string is quicker than finding it among millions.
        int before = _firstEvent[clip];
        int known = before >= 0 ? Events[before].Path : NameTable<string>.None;
        int pathNumber = known >= 0 && Paths[known] == path ? known : Paths.Number(path);
        _firstEvent[clip] = Events.Add(new CopyEvent
        {
            Stamp = stamp,
            Size = size,
            Clip = clip,
            Drive = Drive(driveName).Number,
            Path = pathNumber,
            NextOfClip = before,
            Kind = kind,
            Level = level,
            Failure = failure,
        });
    }

    private int Clip(ClipHash hash)
    {
        int clip = Clips.Number(hash.Value);
        if (clip == _firstSighting.Count)
        {
            _firstSighting.Add(-1);
            _firstEvent.Add(-1);
        }

        return clip;
    }

    private DriveFacts Drive(KitId name)
    {
        int number = Names.Number(name);
        ref DriveFacts? drive = ref System.Runtime.InteropServices.CollectionsMarshal.GetValueRefOrAddDefault(Drives, number, out _);
        return drive ??= new DriveFacts(number, name);
    }

    private CardFacts Card(KitId name)
    {
        ref CardFacts? card = ref System.Runtime.InteropServices.CollectionsMarshal.GetValueRefOrAddDefault(Cards, name, out _);
        return card ??= new CardFacts(name);
    }

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private CardVisit Visit(KitId cardName, KitId insertion, in PackedStamp stamp)
    {
        CardFacts card = Card(cardName);
        ref CardVisit? visit = ref System.Runtime.InteropServices.CollectionsMarshal.GetValueRefOrAddDefault(card.Visits, insertion, out bool known);
        if (!known)
        {
            visit = new CardVisit(Visits.Count, cardName, insertion);
            Visits.Add(visit);
        }

        visit!.FirstTicks = Math.Min(visit.FirstTicks, stamp.Ticks);
        return visit;
    }

    private static long LengthTicks(Duration? length) =>
        length is { } told ? (long)Math.Clamp(told.TotalTicks, 0, LongestLengthTicks) : Sighting.Untold;
}
