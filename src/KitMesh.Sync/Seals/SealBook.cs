using System.Collections.Immutable;
using KitMesh.Domain.Reports;
using KitMesh.Sync.Journal;

namespace KitMesh.Sync.Seals;

/// <summary>Checks seals: which reports are certainly of the node that they name.</summary>
/// <remarks>
/// <para>
/// Problem: a relay that is not honest can alter what it passes on, or invent it, and nothing in a report tells. Method: each
/// writer signs its chain hash now and then, in a report of its own (<see cref="OriginSealed"/>). Each signed value is a point
/// that only the writer can set. What lies between two of them is the writer's when the chain, followed from the one over the
/// reports that are here, comes out at the other. The value before the first report needs no signature.
/// </para>
/// <para>
/// So each piece stands for itself: a piece with a gap waits, a piece that was altered proves nothing and raises an alert, and
/// those before and behind it hold all the same. What comes out depends on the set of reports alone, whatever the order in
/// which they came; only what a hub took from the writer itself (<see cref="TakenDirectly"/>) is its own knowledge.
/// </para>
/// <para>Fed and settled by one thread; what stands may be read by all.</para>
/// </remarks>
/// <param name="journal">What is here.</param>
/// <param name="keys">The keys of nodes.</param>
public sealed class SealBook(IJournalView journal, ISealKeys keys)
{
    /// <summary>Origins with seals; past them nothing more is proof. As many as a session may name.</summary>
    private const int MostOrigins = 100_000;

    private readonly Dictionary<OriginId, OriginSeals> _origins = [];
    private readonly HashSet<OriginId> _touched = [];
    private readonly SortedDictionary<OriginId, List<SealFault>> _faults = [];
    private ImmutableDictionary<OriginId, Attested> _attested = ImmutableDictionary<OriginId, Attested>.Empty;
    private SealStanding _now = SealStanding.Nothing;
    private OriginId _last;

    /// <summary>What stands now.</summary>
    public SealStanding Now => Volatile.Read(ref _now);

    /// <summary>Takes a durable report in; kinds that say nothing here make their origin be looked at again.</summary>
    /// <param name="report">The report.</param>
    public void Add(Report report)
    {
        ArgumentNullException.ThrowIfNull(report);
        OriginId origin = report.Key.Origin;
        Touch(origin);
        switch (report.Body)
        {
            case OriginSealed seal:
                Of(origin)?.Add(seal);
                break;
            case TakenDirectly taken when report.Key.Origin.Node == journal.Own.Node:
                Of(taken.Origin)?.Add(report.Key, taken);
                _touched.Add(taken.Origin);
                break;
            default:
                break;
        }
    }

    /// <summary>There is more of an origin: what waits for it is looked at again.</summary>
    /// <param name="origin">The origin.</param>
    public void Touch(OriginId origin)
    {
        if (origin != _last)
        {
            _last = origin;
            _touched.Add(origin);
        }
    }

    /// <summary>Judges what was taken in.</summary>
    public void Settle()
    {
        _last = default;
        OriginId[] stale = [.. _origins.Where(origin => _touched.Contains(origin.Key) || origin.Value.HasOtherKeys(keys)).Select(origin => origin.Key)];
        _touched.Clear();
        if (stale.Length == 0)
        {
            return;
        }

        // The word of an older epoch of this node counts as far as it is sealed: own origins first.
        foreach (OriginId origin in stale.OrderBy(origin => origin.Node == journal.Own.Node ? 0 : 1))
        {
            var faults = new List<SealFault>();
            _attested = _attested.SetItem(origin, _origins[origin].Judge(journal, keys, IsOwnWord, faults));
            _faults[origin] = faults;
        }

        Volatile.Write(ref _now, new SealStanding(_attested, [.. _faults.Values.SelectMany(faults => faults)]));
    }

    private bool IsOwnWord(ReportKey by) =>
        by.Origin == journal.Own || (_attested.TryGetValue(by.Origin, out Attested? own) && own.IsSealed(by.Sequence));

    private OriginSeals? Of(OriginId origin)
    {
        if (!_origins.TryGetValue(origin, out OriginSeals? seals) && _origins.Count < MostOrigins)
        {
            _origins.Add(origin, seals = new OriginSeals(origin));
        }

        return seals;
    }
}
