using KitMesh.Domain.Kit;
using KitMesh.Domain.Reports;
using NodaTime;

namespace KitMesh.Footage.Ledger;

/// <summary>What is declared and where it is at one moment.</summary>
/// <remarks>
/// A later note with an earlier "since" moves history: placements are ordered by when the thing moved, not by when
/// somebody said so. Only a declared case counts as a case. What rides inside another case counts as that outer case,
/// because both are lost as one.
/// </remarks>
internal sealed class KitView
{
    /// <summary>No chain of containers is deeper; a ring of placements ends here.</summary>
    private const int MaxDepth = 16;

    private readonly LedgerFacts _facts;
    private readonly Moment _moment;
    private readonly Dictionary<(KitKind, KitId), KitItem> _items = [];
    private readonly HashSet<(KitKind, KitId)> _withdrawn = [];
    private readonly Dictionary<KitId, KitId?> _placed = [];
    private readonly Dictionary<KitId, RuleInForce> _ruleOfSource = [];
    private readonly List<(PackedStamp Stamp, KitDeclared Fact)> _refused = [];
    private readonly RuleInForce _tripRule;

    public KitView(LedgerFacts facts, Moment moment, IWriterRights rights)
    {
        _facts = facts;
        _moment = moment;
        foreach (((KitKind, KitId) key, List<(PackedStamp Stamp, KitDeclared Fact)> all) in facts.Kit.Declared)
        {
            List<(PackedStamp Stamp, KitDeclared Fact)> list = rights is EveryWriter ? all : [.. all.Where(entry => rights.MayDeclare(facts.Key(entry.Stamp)))];
            if (list.Count < all.Count)
            {
                _refused.AddRange(all.Except(list));
            }

            if (list.Count == 0)
            {
                continue;
            }

            KitDeclared declared = Standing(list);
            if (declared.Withdrawn)
            {
                _withdrawn.Add(key);
            }
            else
            {
                _items.Add(key, declared.Item);
            }
        }

        foreach ((KitId item, List<(PackedStamp, KitPlaced)> list) in facts.Kit.Placed)
        {
            if (LatestPlacement(list) is { } placed)
            {
                _placed.Add(item, placed.Into);
            }
        }

        Trip = Items<Trip>().OrderBy(trip => trip.FirstDay).ThenBy(trip => trip.Id).LastOrDefault();
        _tripRule = ChooseTripRule();
    }

    /// <summary>Declarations by writers without the right: shown, and without effect here.</summary>
    public IReadOnlyList<(PackedStamp Stamp, KitDeclared Fact)> Refused => _refused;

    public Trip? Trip { get; }

    public Offset ZoneOffset => Trip?.ZoneOffset ?? Offset.Zero;

    public RuleInForce TripRule => _tripRule;

    public IEnumerable<T> Items<T>()
        where T : KitItem => _items.Values.OfType<T>();

    public T? Find<T>(KitKind kind, KitId id)
        where T : KitItem => _items.GetValueOrDefault((kind, id)) as T;

    public bool IsWithdrawn(KitKind kind, KitId id) => _withdrawn.Contains((kind, id));

    public RuleInForce RuleFor(KitId? source)
    {
        if (source is not { } id || Find<FootageSource>(KitKind.FootageSource, id)?.CopyRule is not { } ruleId)
        {
            return _tripRule;
        }

        if (!_ruleOfSource.TryGetValue(ruleId, out RuleInForce? rule))
        {
            rule = Find<CopyRule>(KitKind.CopyRule, ruleId) is { } declared ? RuleInForce.From(declared) : _tripRule;
            _ruleOfSource.Add(ruleId, rule);
        }

        return rule;
    }

    /// <summary>What holds or carries a thing, from the inside out.</summary>
    public IReadOnlyList<KitId> Chain(KitId item)
    {
        List<KitId> chain = [];
        KitId at = item;
        while (chain.Count < MaxDepth && Holder(at) is { } holder && holder != item && !chain.Contains(holder))
        {
            chain.Add(holder);
            at = holder;
        }

        return chain;
    }

    /// <summary>The names of everything that was ever declared, withdrawn things included.</summary>
    public IEnumerable<KitId> Names => _items.Keys.Concat(_withdrawn).Select(key => key.Item2);

    public bool IsCase(KitId name) => _items.ContainsKey((KitKind.Case, name));

    /// <summary>Whether something of that name that can hold or carry gear is declared.</summary>
    public bool IsDeclaredHolder(KitId name) =>
        IsCase(name)
        || _items.ContainsKey((KitKind.Team, name))
        || _items.ContainsKey((KitKind.Person, name))
        || _items.ContainsKey((KitKind.Place, name));

    private KitId? Holder(KitId item)
    {
        if (_placed.TryGetValue(item, out KitId? into))
        {
            return into;
        }

        return Find<Drive>(KitKind.Drive, item)?.Case
            ?? Find<Case>(KitKind.Case, item)?.Carrier
            ?? Find<Person>(KitKind.Person, item)?.Team;
    }

    private KitDeclared Standing(List<(PackedStamp Stamp, KitDeclared Fact)> list)
    {
        // The trip file holds from the first day, whenever it was read: without an earlier one the first declaration stands.
        (PackedStamp Stamp, KitDeclared Fact)? latest = null;
        (PackedStamp Stamp, KitDeclared Fact) first = list[0];
        foreach ((PackedStamp Stamp, KitDeclared Fact) entry in list)
        {
            if (_facts.Compare(entry.Stamp, first.Stamp) < 0)
            {
                first = entry;
            }

            if (_moment.Trusts(entry.Stamp.Ticks) && (latest is not { } best || _facts.Compare(entry.Stamp, best.Stamp) > 0))
            {
                latest = entry;
            }
        }

        return (latest ?? first).Fact;
    }

    private KitPlaced? LatestPlacement(List<(PackedStamp Stamp, KitPlaced Fact)> list)
    {
        (long Since, PackedStamp Stamp, KitPlaced Fact)? latest = null;
        foreach ((PackedStamp stamp, KitPlaced fact) in list)
        {
            long since = fact.Since?.ToUnixTimeTicks() ?? stamp.Ticks;
            if (_moment.Trusts(since)
                && (latest is not { } best || since > best.Since || (since == best.Since && _facts.Compare(stamp, best.Stamp) > 0)))
            {
                latest = (since, stamp, fact);
            }
        }

        return latest?.Fact;
    }

    private RuleInForce ChooseTripRule()
    {
        List<RuleInForce> rules = [.. Items<CopyRule>().OrderBy(rule => rule.Id).Select(RuleInForce.From)];
        if (rules.Count == 0)
        {
            return RuleInForce.Least;
        }

        HashSet<KitId?> special = [.. Items<FootageSource>().Select(source => source.CopyRule)];
        List<RuleInForce> general = [.. rules.Where(rule => !special.Contains(rule.Id))];
        return RuleInForce.Strictest(general.Count > 0 ? general : rules);
    }
}
