using KitMesh.Domain.Reports;
using KitMesh.Domain.Time;

namespace KitMesh.Domain.State;

/// <summary>Keeps the state up to date as reports arrive, equal at every moment to the fold from scratch.</summary>
/// <remarks>
/// <para>
/// Problem: agents bring weeks-old reports in any order, and folding a million again for each of them is out of the
/// question. Method: everything in the state is a maximum, a set or a sum over facts, so a report is taken in wherever
/// it sorts. Only the times of facts depend on other facts, the clock pairs. After a pair, what comes next waits until
/// somebody asks; then the times are derived anew, and only if a boot that was already taken in has other times now does
/// the engine fold again from the host's replay. A pair that says what is known already costs nothing.
/// </para>
/// <para>Not safe for many threads at once; the state it gives is immutable.</para>
/// </remarks>
/// <param name="replay">
/// Every report that the host holds, in any order: a decoded journal. Called when times moved; everything that was taken
/// in must come, what was not yet taken in may.
/// </param>
/// <param name="firstContent">
/// The first 128 bits of the content hash that a sequence had when it was taken in first; null when nobody can tell. With it,
/// memory does not grow with the reports taken in; without it, at 16 bytes a report.
/// </param>
public sealed class StateEngine(Func<IEnumerable<ContentReport>> replay, Func<ReportKey, UInt128?>? firstContent = null)
{
    /// <summary>The most reports that wait for new times; past it they are found again in the replay.</summary>
    private const int MaxWaiting = 20_000;

    private readonly HashSet<ClockObservation> _observations = [];
    private readonly List<Waiting> _waiting = [];
    private readonly HashSet<BootTimeline> _boots = [];
    private SeenReports _seen = new(firstContent);
    private TripStateBuilder _builder = new();
    private TripState? _state = TripState.Empty;
    private Retiming _retiming = Retiming.None;
    private long _version;
    private bool _pairsGrew;
    private bool _waitingIsShort;

    /// <summary>The times that hold now.</summary>
    public Retiming Retiming
    {
        get
        {
            Settle();
            return _retiming;
        }
    }

    /// <summary>Grows whenever the time of a report already taken in moved, so that a view that keeps times knows when to renew them.</summary>
    public long RetimingVersion
    {
        get
        {
            Settle();
            return _version;
        }
    }

    /// <summary>The state of every report taken in.</summary>
    public TripState State
    {
        get
        {
            Settle();
            return _state ??= _builder.Build();
        }
    }

    /// <summary>Takes a report in. A duplicate changes nothing.</summary>
    /// <param name="report">The decoded report.</param>
    /// <param name="content">SHA-256 of its bytes.</param>
    /// <returns>Whether it was new.</returns>
    public bool Add(Report report, Sha256Hash content)
    {
        ArgumentNullException.ThrowIfNull(report);
        if (!_seen.Add(report.Key, content, out UInt128? forkOf))
        {
            return false;
        }

        _state = null;
        if (report.Body is ClockPair pair && _observations.Add(new ClockObservation(report.Key.Origin.Node, pair)))
        {
            _pairsGrew = true;
        }

        var entry = new Waiting(report, content, forkOf);
        if (!_pairsGrew)
        {
            Fold(entry);
        }
        else if (_waiting.Count < MaxWaiting)
        {
            _waiting.Add(entry);
        }
        else
        {
            _waitingIsShort = true;
        }

        return true;
    }

    private void Fold(Waiting entry)
    {
        _boots.Add(new BootTimeline(entry.Report.Key.Origin.Node, entry.Report.Written.Boot));
        _builder.Add(_retiming.Time(entry.Report), entry.Content);
        if (entry.ForkOf is { } first)
        {
            _builder.AddFork(entry.Report.Key, first, entry.Content.High);
        }
    }

    /// <summary>Derives the times anew after clock pairs came, and folds again where they moved.</summary>
    private void Settle()
    {
        while (_pairsGrew)
        {
            _pairsGrew = false;
            var retiming = Retiming.From(_observations);
            bool moved = retiming.Differs(_retiming, _boots);
            _retiming = retiming;
            if (moved)
            {
                _version++;
            }

            if (moved || _waitingIsShort)
            {
                FoldAgain();
            }
            else
            {
                _waiting.ForEach(Fold);
                _waiting.Clear();
            }
        }
    }

    /// <summary>Folds the whole replay. It may bring clock pairs that were never taken in: then once more with all of them.</summary>
    private void FoldAgain()
    {
        _waiting.Clear();
        _waitingIsShort = false;
        _boots.Clear();
        _seen = new SeenReports(firstContent);
        _builder = new TripStateBuilder();
        _state = null;
        foreach (ContentReport entry in replay())
        {
            Add(entry.Report, entry.Content);
            if (_pairsGrew)
            {
                CollectObservations();
                _waitingIsShort = true;
                return;
            }
        }
    }

    private void CollectObservations()
    {
        foreach (ContentReport entry in replay())
        {
            if (entry.Report.Body is ClockPair pair)
            {
                _observations.Add(new ClockObservation(entry.Report.Key.Origin.Node, pair));
            }
        }
    }

    private readonly record struct Waiting(Report Report, Sha256Hash Content, UInt128? ForkOf);
}
