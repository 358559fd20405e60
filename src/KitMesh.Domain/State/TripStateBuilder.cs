using System.Collections.Immutable;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Time;
using NodaTime;

namespace KitMesh.Domain.State;

/// <summary>Takes timed reports in and gives the state. The order in which they come does not matter; each must come once.</summary>
internal sealed class TripStateBuilder
{
    private readonly LatestFacts<KitRef, KitDeclared> _declared = new();
    private readonly LatestFacts<KitId, BatteryReading> _batteries = new();
    private readonly LatestFacts<SensorRef, TemperatureReading> _temperatures = new();
    private readonly LatestFacts<KitId, PanelReading> _panels = new();
    private readonly LatestFacts<KitId, LoadReading> _loads = new();
    private readonly LatestFacts<KitId, DriveState> _drives = new();
    private readonly LatestFacts<KitId, CardSeen> _cards = new();
    private readonly LatestFacts<NodeId, AgentState> _agents = new();
    private readonly LatestFacts<NodeId, Instant> _nodes = new();
    private readonly LatestFacts<AlertRef, AlertChanged> _alerts = new();
    private readonly LatestFacts<ReaderRef, ReaderFault> _faults = new();
    private readonly Dictionary<KitId, ImmutableSortedSet<Placement>.Builder> _placements = [];
    private readonly ImmutableSortedDictionary<FactStamp, Note>.Builder _notes = ImmutableSortedDictionary.CreateBuilder<FactStamp, Note>();
    private readonly ImmutableSortedDictionary<FactStamp, DigestHeard>.Builder _digests = ImmutableSortedDictionary.CreateBuilder<FactStamp, DigestHeard>();
    private readonly ImmutableSortedDictionary<DayRef, Stamped<DayRolledUp>>.Builder _days = ImmutableSortedDictionary.CreateBuilder<DayRef, Stamped<DayRolledUp>>();
    private readonly ImmutableSortedDictionary<ReportKey, ImmutableSortedSet<UInt128>>.Builder _forks =
        ImmutableSortedDictionary.CreateBuilder<ReportKey, ImmutableSortedSet<UInt128>>();
    private readonly Dictionary<ReportKind, long> _counts = [];

    private FactSetHash _facts;
    private Instant? _newestBelieved;

    /// <summary>Takes one report in.</summary>
    public void Add(TimedReport timed, Sha256Hash content)
    {
        Report report = timed.Report;
        var stamp = new FactStamp(timed.Time, timed.Trust, report.Key, content);
        NodeId node = report.Key.Origin.Node;
        if (timed.Trust != ClockTrust.Unknown && (_newestBelieved is not { } newest || timed.Time > newest))
        {
            _newestBelieved = timed.Time;
        }

        _counts[report.Body.Kind] = _counts.GetValueOrDefault(report.Body.Kind) + 1;
        _nodes.Offer(node, report.Written.Wall, stamp);
        if (!IsReading(report.Body))
        {
            _facts = _facts.With(stamp);
        }

        AddBody(report.Body, node, stamp);
    }

    /// <summary>Notes that a sequence has several contents.</summary>
    public void AddFork(ReportKey key, UInt128 one, UInt128 other) =>
        _forks[key] = (_forks.TryGetValue(key, out ImmutableSortedSet<UInt128>? known) ? known : []).Add(one).Add(other);

    /// <summary>The state of everything taken in.</summary>
    public TripState Build() => new()
    {
        Declared = _declared.Resolve(_newestBelieved),
        Batteries = _batteries.Resolve(_newestBelieved),
        Temperatures = _temperatures.Resolve(_newestBelieved),
        Panels = _panels.Resolve(_newestBelieved),
        Loads = _loads.Resolve(_newestBelieved),
        Drives = _drives.Resolve(_newestBelieved),
        Cards = _cards.Resolve(_newestBelieved),
        Agents = _agents.Resolve(_newestBelieved),
        Nodes = _nodes.Resolve(_newestBelieved).ToImmutableSortedDictionary(entry => entry.Key, entry => Seen(entry.Value)),
        Placements = _placements.ToImmutableSortedDictionary(entry => entry.Key, entry => entry.Value.ToImmutable()),
        Notes = _notes.ToImmutable(),
        Digests = _digests.ToImmutable(),
        ToldDays = _days.ToImmutable(),
        AgentAlerts = _alerts.Resolve(_newestBelieved),
        Faults = _faults.Resolve(_newestBelieved),
        Forks = _forks.ToImmutable(),
        Counts = _counts.ToImmutableSortedDictionary(),
        Facts = _facts,
    };

    /// <summary>Whether retention may thin reports of this kind out: then nothing but the latest may depend on them.</summary>
    internal static bool IsReading(ReportBody body) =>
        body.Kind is ReportKind.BatteryReading or ReportKind.TemperatureReading or ReportKind.PanelReading or ReportKind.LoadReading;

    private static NodeSeen Seen(Stamped<Instant> newest) => new(
        newest.Time,
        newest.Stamp.Trust == ClockTrust.Unknown ? null : newest.Body - newest.Time,
        newest.Stamp.Trust);

    private void AddBody(ReportBody body, NodeId node, FactStamp stamp)
    {
        switch (body)
        {
            case KitDeclared it: _declared.Offer(new KitRef(it.Item.Kind, it.Item.Id), it, stamp); break;
            case BatteryReading it: _batteries.Offer(it.Pack, it, stamp); break;
            case TemperatureReading it: _temperatures.Offer(new SensorRef(it.Subject, it.Sensor), it, stamp); break;
            case PanelReading it: _panels.Offer(it.Panel, it, stamp); break;
            case LoadReading it: _loads.Offer(it.Load, it, stamp); break;
            case DriveState it: _drives.Offer(it.Drive, it, stamp); break;
            case CardSeen it: _cards.Offer(it.Card, it, stamp); break;
            case AgentState it: _agents.Offer(it.Node, it, stamp); break;
            case AlertChanged it: _alerts.Offer(new AlertRef(node, it.Rule, it.Subject), it, stamp); break;
            case ReaderFault it: _faults.Offer(new ReaderRef(node, it.Reader, it.Subject ?? default), it, stamp); break;
            case Note it: _notes[stamp] = it; break;
            case DigestHeard it: _digests[stamp] = it; break;
            case DayRolledUp it: AddDay(it, stamp); break;
            case KitPlaced it: AddPlacement(it, stamp); break;
            default: break;
        }
    }

    /// <summary>The order inside an origin is its journal, whatever its clock says: its later word about a day replaces the earlier one.</summary>
    private void AddDay(DayRolledUp day, FactStamp stamp)
    {
        var name = new DayRef(day.Item, day.From, day.Until, stamp.Key.Origin);
        if (!_days.TryGetValue(name, out Stamped<DayRolledUp>? known) || IsLater(stamp, known.Stamp))
        {
            _days[name] = new Stamped<DayRolledUp>(day, stamp);
        }
    }

    private static bool IsLater(FactStamp one, FactStamp other)
    {
        int order = one.Key.Sequence.CompareTo(other.Key.Sequence);
        return (order != 0 ? order : one.Content.CompareTo(other.Content)) > 0;
    }

    private void AddPlacement(KitPlaced placed, FactStamp stamp)
    {
        if (!_placements.TryGetValue(placed.Item, out ImmutableSortedSet<Placement>.Builder? history))
        {
            _placements.Add(placed.Item, history = ImmutableSortedSet.CreateBuilder<Placement>());
        }

        history.Add(new Placement(placed.Since ?? stamp.Time, placed.Into, placed.Author, stamp));
    }
}
