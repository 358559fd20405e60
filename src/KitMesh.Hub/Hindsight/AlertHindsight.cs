using KitMesh.Alerts;
using KitMesh.Domain;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using KitMesh.Domain.State;
using KitMesh.Domain.Time;
using KitMesh.Footage.Ledger;
using KitMesh.Hub.Ingest;
using KitMesh.Hub.Views;
using NodaTime;

namespace KitMesh.Hub.Hindsight;

// Problem: which alerts a hub stood by at a past moment, and since when; the alerts that a hub finds by itself are no reports, so no journal tells them.
// Trap: judging everything that is known today at a past moment finds what nobody could see then (a gap that later reports filled); judging the moment alone
// forgets what was raised before and has not met its rule's condition for clearing yet.
// Method: the same rules over the same inputs as the running hub's, stepped along the trip: reports are taken in by their arrival, and every half hour of world time (longer on
// a long trip, so that there are at most 1,000 steps) the book is stepped. The times of alerts are true to such a step unless the rule itself knows better. A hub that was
// switched off for hours judged nothing meanwhile: here it is as if it had been on.
// Check: AlertHindsightTests.

/// <summary>The alerts that a hub found along a trip, from its reports.</summary>
public sealed class AlertHindsight
{
    private const int MostSteps = 1_000;
    private static readonly Duration Step = Duration.FromMinutes(30);
    private static readonly LedgerQuery NoClips = new(Limit: 0);

    private readonly Func<IEnumerable<KnownReport>> _replay;
    private readonly StateEngine _engine;
    private readonly PackPictures _packs = new();
    private readonly ClockDoubts _doubts = new();
    private readonly RunwayView _runway = new(new StillTime());
    private readonly List<(CopyFailed Body, Instant Time)> _failed = [];
    private readonly List<PastAlert> _past = [];
    private FootageLedger _footage = new();
    private AlertBook _book = AlertBook.Empty;
    private long _retimed;
    private int _taken;

    private AlertHindsight(Func<IEnumerable<KnownReport>> replay)
    {
        _replay = replay;
        _engine = new StateEngine(() => _replay().Take(_taken).Select(known => known.Report));
        _retimed = _engine.RetimingVersion;
    }

    /// <summary>What stood at the end: the hub's own and those of agents, heaviest first, then oldest.</summary>
    public ValueList<Alert> Standing { get; private set; } = [];

    /// <summary>Every alert that the hub found by itself, in the order in which they were raised.</summary>
    public ValueList<PastAlert> Past { get; private set; } = [];

    /// <summary>Steps along the trip.</summary>
    /// <param name="replay">The reports that were known by the end, in the order in which they came; asked for again when times move.</param>
    /// <param name="from">Nothing is judged before, such as by a report whose clock stood in 1970.</param>
    /// <param name="until">The end.</param>
    /// <param name="stop">Stops.</param>
    public static AlertHindsight Of(Func<IEnumerable<KnownReport>> replay, Instant from, Instant until, CancellationToken stop)
    {
        ArgumentNullException.ThrowIfNull(replay);
        var hindsight = new AlertHindsight(replay);
        using IEnumerator<KnownReport> coming = replay().GetEnumerator();
        bool more = coming.MoveNext();
        Instant at = more ? Instant.Min(Instant.Max(coming.Current.Known, from), until) : until;
        Duration step = Duration.Max(Step, (until - at) / MostSteps);
        while (true)
        {
            stop.ThrowIfCancellationRequested();
            at = Instant.Min(at + step, until);
            more = hindsight.StepTo(at, coming, more, isLast: at == until);
            if (at == until)
            {
                break;
            }
        }

        hindsight.Close();
        return hindsight;
    }

    private bool StepTo(Instant now, IEnumerator<KnownReport> coming, bool more, bool isLast)
    {
        var news = new List<Report>();
        for (; more && (isLast || coming.Current.Known <= now); more = coming.MoveNext())
        {
            ContentReport entry = coming.Current.Report;
            _taken++;
            _engine.Add(entry.Report, entry.Content);
            _doubts.Add(entry.Report);
            news.Add(entry.Report);
        }

        Take(news);
        TripState state = _engine.State;
        LedgerSnapshot ledger = _footage.Now(now);
        LedgerView seen = ledger.View(NoClips);
        AlertInputs inputs = AlertInputsBuilder.Build(
            now, state, _packs.All, seen, FailedCopies.Among(_failed.OrderByDescending(failed => failed.Time), ledger),
            _runway.At(now, state.KitOf<Trip>().Count() == 1, ledger, seen), _doubts);
        _book = _book.Step(AlertCatalogue.All, inputs, out IReadOnlyList<AlertChange> changes);
        foreach (AlertChange change in changes.Where(change => change.Phase == AlertPhase.Cleared))
        {
            _past.Add(new PastAlert(change.Alert, now));
        }

        return more;
    }

    private void Take(List<Report> news)
    {
        Retiming retiming = _engine.Retiming;
        IEnumerable<Report> reports = news;

        // Other times hold for what was taken in before: the views that keep times begin again.
        if (_engine.RetimingVersion != _retimed)
        {
            _retimed = _engine.RetimingVersion;
            _footage = new FootageLedger();
            _packs.Clear();
            _failed.Clear();
            reports = _replay().Take(_taken).Select(known => known.Report.Report);
        }

        _doubts.Retime(retiming);
        foreach (Report report in reports)
        {
            TimedReport timed = retiming.Time(report);
            _footage.Add(timed);
            _packs.Add(timed);
            if (timed.Report.Body is CopyFailed failed)
            {
                _failed.Add((failed, timed.Time));
            }
        }
    }

    private void Close()
    {
        Standing = StandingAlerts.Of(_book, _engine.State).Select(standing => standing.Alert).ToValueList();
        Past = _past.Concat(_book.Standing.Select(alert => new PastAlert(alert, null))).OrderBy(past => past.Alert.Since).ThenBy(past => past.Alert.Rule, StringComparer.Ordinal).ToValueList();
    }

    /// <summary>No machine time passes, so that the same reports give the same alerts on a slow machine.</summary>
    private sealed class StillTime : TimeProvider
    {
        public override long GetTimestamp() => 0;
    }
}
