using KitMesh.Domain;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using NodaTime;

namespace KitMesh.Footage.Ledger;

/// <summary>
/// The ledger judged at one moment. It does not change; queries are answered without judging all clips again.
/// </summary>
/// <remarks>
/// A query asks each <see cref="ClipGroup"/> once: its sums are ready, and only the rows that are listed are looked for, in
/// the order in which clips are shown, from the asked day on. Words are made only for those rows.
/// </remarks>
public sealed class LedgerSnapshot
{
    private readonly JudgedLedger _judged;
    private readonly LedgerFacts _facts;
    private readonly ClipEntry[] _entries;

    internal LedgerSnapshot(JudgedLedger judged)
    {
        _judged = judged;
        _facts = judged.Facts;
        _entries = judged.Entries;
    }

    /// <summary>The moment.</summary>
    public Instant AsOf => _judged.Moment.Instant;

    /// <summary>Clips known.</summary>
    public int ClipCount => _entries.Length;

    internal JudgedLedger Judged => _judged;

    /// <summary>Every card, those on hold first.</summary>
    public ValueList<CardRow> Cards => _judged.CardRows;

    /// <summary>Every drive, by label.</summary>
    public ValueList<DriveRow> Drives => _judged.DriveRows;

    /// <summary>Cameras and recorders that clips are of.</summary>
    public IEnumerable<KitId> Sources => _judged.Sources.Select(source => source.Source).OfType<KitId>();

    /// <summary>Where all footage lies, without the single clips.</summary>
    public Holdings Holdings()
    {
        lock (_facts.Gate)
        {
            return ReadHoldings();
        }
    }

    private Holdings ReadHoldings() => new(
        AsOf,
        _judged.Kit.Trip,
        new HeldGroups(_judged).ToList(),
        _judged.DrivesByRank.Zip(_judged.DriveTallies, Held).ToValueList(),
        _judged.Kit.Items<Case>().OrderBy(item => item.Id).ToValueList(),
        _judged.Kit.Items<FootageSource>().OrderBy(source => source.Id).ToValueList(),
        _judged.Kit.TripRule.Id,
        _judged.Kit.TripRule.Copies,
        _judged.Kit.TripRule.Cases,
        Shot(),
        _judged.ClearingRows,
        _judged.Kit.Items<FootageSource>().OrderBy(source => source.Id).Select(Demand).ToValueList(),
        _judged.Kit.Items<LossFigure>().OrderBy(figure => figure.Id).ToValueList(),
        _judged.Kit.Items<SharedDanger>().OrderBy(danger => danger.Id).ToValueList());

    private SourceDemand Demand(FootageSource source)
    {
        RuleInForce rule = _judged.Kit.RuleFor(source.Id);
        return new SourceDemand(source.Id, rule.Id, rule.Copies, rule.Cases);
    }

    /// <summary>Answers a query.</summary>
    /// <param name="query">Which clips to list.</param>
    /// <exception cref="ArgumentOutOfRangeException">Skip or limit lies outside its range.</exception>
    public LedgerView View(LedgerQuery query)
    {
        ArgumentOutOfRangeException.ThrowIfNegative(query.Skip);
        ArgumentOutOfRangeException.ThrowIfNegative(query.Limit);
        ArgumentOutOfRangeException.ThrowIfGreaterThan(query.Limit, LedgerQuery.MaxLimit);
        var filter = new ClipFilter(_judged, query);
        (int from, int to) = filter.Range(_entries, query.Clip is { } hash ? Position(hash) : null);
        ClipSelection selection = ClipSelection.Of(_judged, filter, from, to, query);
        return new LedgerView(
            AsOf,
            selection.Total,
            new ByteCount(selection.Size),
            selection.Met,
            Rows(selection.Listed),
            _judged.CardRows,
            _judged.DriveRows,
            _judged.DayRows,
            _judged.Oddities,
            _judged.OdditiesTotal,
            _judged.ClearingRows);
    }

    /// <summary>One clip with its copies; null when it is not known.</summary>
    /// <param name="clip">The clip.</param>
    public ClipRow? Find(ClipHash clip) => Position(clip) is { } at and >= 0 ? Rows([at])[0] : null;

    private HeldDrive Held(DriveView drive, DriveTally tally)
    {
        DriveRow row = tally.ToRow();
        return new HeldDrive(
            drive.Name,
            drive.Case,
            drive.Chain.Where(holder => _judged.Kit.Find<Place>(KitKind.Place, holder) is null).ToValueList(),
            drive.Declared is { AnnualFailureRate: > 0 and < 1 } declared ? declared.AnnualFailureRate : null,
            drive.Declared?.Batch,
            row.Capacity,
            row.Free,
            row.OldestProof,
            row.Health,
            drive.Declared is not null && !drive.IsIntermediate && drive.Doubt is null && row.Health != DriveHealth.Failing)
        {
            MoveCost = drive.LastState?.Fact.MoveCost,
        };
    }

    private ValueList<ShotDay> Shot()
    {
        Dictionary<(int Source, int Day), long> sizes = [];
        foreach (ref readonly ClipEntry entry in _entries.AsSpan())
        {
            System.Runtime.InteropServices.CollectionsMarshal.GetValueRefOrAddDefault(sizes, (entry.Source, entry.Day), out _) += Math.Max(0, entry.Facts.Size);
        }

        return sizes
            .Select(entry => new ShotDay(
                _judged.Sources[entry.Key.Source].Source,
                _judged.Sources[entry.Key.Source].Team,
                DayRange.Date(entry.Key.Day),
                new ByteCount(entry.Value)))
            .OrderBy(shot => shot.Day)
            .ThenBy(shot => shot.Source)
            .ToValueList();
    }

    private int Position(ClipHash clip)
    {
        lock (_facts.Gate)
        {
            return _facts.Clips.Find(clip.Value) is >= 0 and int number && number < _judged.Positions.Length ? _judged.Positions[number] : -1;
        }
    }

    private ValueList<ClipRow> Rows(List<int> listed)
    {
        lock (_facts.Gate)
        {
            ClipJudge judge = _judged.NewJudge();
            return listed.Select(at => Row(judge, _entries[at])).ToValueList();
        }
    }

    private ClipRow Row(ClipJudge judge, in ClipEntry entry)
    {
        SourceView source = _judged.Sources[entry.Source];
        judge.Judge(entry.Facts, source.Rule);
        ref Sighting sighting = ref _facts.Sightings[entry.Facts.Sighting];
        CardVisit visit = _facts.Visits[sighting.Visit];
        return new ClipRow(
            new ClipHash(_facts.Clips[entry.Facts.Clip]),
            _facts.Paths[sighting.Path],
            visit.Card,
            visit.Insertion,
            source.Source,
            source.Team,
            DayRange.Date(entry.Day),
            sighting.RecordedTicks == Sighting.Untold ? null : Instant.FromUnixTimeTicks(sighting.RecordedTicks),
            sighting.LengthTicks == Sighting.Untold ? null : Duration.FromTicks(sighting.LengthTicks),
            new ByteCount(entry.Facts.Size < 0 ? sighting.Size : entry.Facts.Size),
            sighting.Damage < 0 ? null : _facts.Damages[sighting.Damage],
            Copies(judge),
            entry.Proof.Copies,
            entry.Proof.Drives,
            entry.Proof.Cases,
            entry.MeetsRule,
            source.Rule.Missing(entry))
        {
            Timecode = sighting.TimecodeSeconds < 0 ? null : Duration.FromSeconds(sighting.TimecodeSeconds),
        };
    }

    private ValueList<CopyRow> Copies(ClipJudge judge)
    {
        var rows = new CopyRow[judge.Copies.Length];
        for (int i = 0; i < rows.Length; i++)
        {
            ref readonly CopyJudgement copy = ref judge.Copies[i];
            bool wasProven = copy.ProvenTicks != Sighting.Untold;
            rows[i] = new CopyRow(
                copy.Drive.Name,
                copy.Drive.Case,
                copy.Drive.Carrier,
                _facts.Paths[copy.Path],
                new ByteCount(copy.Size),
                copy.Standing,
                wasProven ? Instant.FromUnixTimeTicks(copy.ProvenTicks) : null,
                wasProven ? copy.Level : null,
                CopyWords.Reason(copy.Doubt, copy.Drive) ?? (copy.Drive.IsIntermediate ? CopyWords.Intermediate : null));
        }

        return rows.ToValueList();
    }
}
