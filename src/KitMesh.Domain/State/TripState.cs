using System.Collections.Immutable;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Reports;

namespace KitMesh.Domain.State;

/// <summary>What all reports together say of the trip: the same value on every hub that holds the same reports.</summary>
/// <remarks>Clips and copies have a fold of their own (the footage ledger); here they only count.</remarks>
public sealed record TripState
{
    /// <summary>
    /// Version of this fold and of its canonical encoding. A new one rebuilds the view. It grows with every new kind of
    /// report or of kit: an older build keeps those unread and folds them to another state from the same reports.
    /// </summary>
    public const uint FoldVersion = 6;

    /// <summary>The state before any report.</summary>
    public static readonly TripState Empty = new TripStateBuilder().Build();

    internal TripState()
    {
    }

    /// <summary>The last declaration of every item, withdrawn ones included.</summary>
    public required ImmutableSortedDictionary<KitRef, Stamped<KitDeclared>> Declared { get; init; }

    /// <summary>The latest reading of every pack or bank.</summary>
    public required ImmutableSortedDictionary<KitId, Stamped<BatteryReading>> Batteries { get; init; }

    /// <summary>The latest reading of every thermometer outside packs.</summary>
    public required ImmutableSortedDictionary<SensorRef, Stamped<TemperatureReading>> Temperatures { get; init; }

    /// <summary>The latest reading of every panel.</summary>
    public required ImmutableSortedDictionary<KitId, Stamped<PanelReading>> Panels { get; init; }

    /// <summary>The latest reading of every load.</summary>
    public required ImmutableSortedDictionary<KitId, Stamped<LoadReading>> Loads { get; init; }

    /// <summary>The latest state of every drive.</summary>
    public required ImmutableSortedDictionary<KitId, Stamped<DriveState>> Drives { get; init; }

    /// <summary>The latest visit of every card.</summary>
    public required ImmutableSortedDictionary<KitId, Stamped<CardSeen>> Cards { get; init; }

    /// <summary>The latest sign of life of every agent and hub.</summary>
    public required ImmutableSortedDictionary<NodeId, Stamped<AgentState>> Agents { get; init; }

    /// <summary>Every node that wrote anything: when it was heard last, and its clock.</summary>
    public required ImmutableSortedDictionary<NodeId, NodeSeen> Nodes { get; init; }

    /// <summary>Where every placed thing was, oldest first; the last entry is where it is.</summary>
    public required ImmutableSortedDictionary<KitId, ImmutableSortedSet<Placement>> Placements { get; init; }

    /// <summary>Every note, oldest first.</summary>
    public required ImmutableSortedDictionary<FactStamp, Note> Notes { get; init; }

    /// <summary>Every digest line that was typed in, oldest first. It is second-hand: shown with its age, never mixed with readings.</summary>
    public required ImmutableSortedDictionary<FactStamp, DigestHeard> Digests { get; init; }

    /// <summary>Days that hubs told ahead of their readings: of each origin its last word about each day of each thing.</summary>
    public required ImmutableSortedDictionary<DayRef, Stamped<DayRolledUp>> ToldDays { get; init; }

    /// <summary>The last word of agents about every alert that they judge by themselves, cleared ones included.</summary>
    public required ImmutableSortedDictionary<AlertRef, Stamped<AlertChanged>> AgentAlerts { get; init; }

    /// <summary>The last word of every reader that ever had a fault, cleared ones included.</summary>
    public required ImmutableSortedDictionary<ReaderRef, Stamped<ReaderFault>> Faults { get; init; }

    /// <summary>Sequences with more than one content, with the first 128 bits of each content hash: a restored disk or a forgery.</summary>
    public required ImmutableSortedDictionary<ReportKey, ImmutableSortedSet<UInt128>> Forks { get; init; }

    /// <summary>How many reports of each kind there are, forks included.</summary>
    public required ImmutableSortedDictionary<ReportKind, long> Counts { get; init; }

    /// <summary>Stands for every report that is never thinned out, with its time.</summary>
    public required FactSetHash Facts { get; init; }

    /// <summary>Every item that stands, by kind and name.</summary>
    public IEnumerable<KitItem> Kit => Declared.Values.Where(declared => !declared.Body.Withdrawn).Select(declared => declared.Body.Item);

    /// <summary>The alerts of agents that stand.</summary>
    public IEnumerable<KeyValuePair<AlertRef, Stamped<AlertChanged>>> StandingAgentAlerts => AgentAlerts.Where(alert => alert.Value.Body.Raised);

    /// <summary>The readers that have a fault now.</summary>
    public IEnumerable<KeyValuePair<ReaderRef, Stamped<ReaderFault>>> StandingFaults => Faults.Where(fault => !fault.Value.Body.Cleared);

    /// <summary>Every standing item of one kind, by name.</summary>
    /// <typeparam name="T">The kind.</typeparam>
    public IEnumerable<T> KitOf<T>()
        where T : KitItem => Kit.OfType<T>();

    /// <summary>What holds a thing now; null when nobody said or it stands alone.</summary>
    /// <param name="item">The thing.</param>
    public KitId? HolderOf(KitId item) => Placements.TryGetValue(item, out ImmutableSortedSet<Placement>? history) ? history[^1].Into : null;

    /// <summary>The state of any reports, in any order: the fold from scratch.</summary>
    /// <param name="reports">The reports; a duplicate changes nothing.</param>
    public static TripState Fold(IEnumerable<ContentReport> reports)
    {
        ContentReport[] all = [.. reports];
        var engine = new StateEngine(() => all);
        foreach (ContentReport entry in all)
        {
            engine.Add(entry.Report, entry.Content);
        }

        return engine.State;
    }
}
