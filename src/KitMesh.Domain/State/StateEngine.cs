using KitMesh.Domain.Reports;
using KitMesh.Domain.Time;

namespace KitMesh.Domain.State;

/// <summary>Keeps the state up to date as reports arrive, equal at every moment to the fold from scratch.</summary>
/// <remarks>
/// <para>
/// Problem: agents bring weeks-old reports in any order, and folding a million again for each of them is out of the
/// question. Method: everything in the state is a maximum, a set or a sum over facts, so a report is taken in wherever
/// it sorts. Only the times of facts depend on other facts, the clock pairs: when the set of pairs grows, the times of
/// everything may move, so the next question folds again from the host's replay. Between two such moments the engine
/// only adds.
/// </para>
/// <para>Not safe for many threads at once; the state it gives is immutable.</para>
/// </remarks>
/// <param name="replay">
/// Every report that the host holds, in any order: a decoded journal. Called when times moved; everything that was taken
/// in must come, what was not yet taken in may.
/// </param>
public sealed class StateEngine(Func<IEnumerable<ContentReport>> replay)
{
    private readonly HashSet<ClockObservation> _observations = [];
    private SeenReports _seen = new();
    private TripStateBuilder _builder = new();
    private TripState? _state = TripState.Empty;
    private Retiming _retiming = Retiming.None;
    private bool _timesMoved;

    /// <summary>The times that hold now.</summary>
    public Retiming Retiming
    {
        get
        {
            Settle();
            return _retiming;
        }
    }

    /// <summary>Grows whenever times may have moved, so that a view that keeps times knows when to renew them.</summary>
    public long RetimingVersion { get; private set; }

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
            _timesMoved = true;
            RetimingVersion++;
        }

        if (!_timesMoved)
        {
            _builder.Add(_retiming.Time(report), content);
            if (forkOf is { } first)
            {
                _builder.AddFork(report.Key, first, content.High);
            }
        }

        return true;
    }

    /// <summary>Folds again when times moved. A replay may bring clock pairs that were never taken in: then once more.</summary>
    private void Settle()
    {
        while (_timesMoved)
        {
            _timesMoved = false;
            _retiming = Retiming.From(_observations);
            _seen = new SeenReports();
            _builder = new TripStateBuilder();
            _state = null;
            foreach (ContentReport entry in replay())
            {
                Add(entry.Report, entry.Content);
                if (_timesMoved)
                {
                    CollectObservations();
                    break;
                }
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
}
