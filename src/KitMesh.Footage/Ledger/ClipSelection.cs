using KitMesh.Domain.Results;

namespace KitMesh.Footage.Ledger;

/// <summary>The clips that pass a query: their sums, and the places of those that are listed.</summary>
internal sealed class ClipSelection
{
    public int Total { get; private set; }

    public int Met { get; private set; }

    public long Size { get; private set; }

    public List<int> Listed { get; } = [];

    /// <summary>Selects.</summary>
    /// <param name="ledger">The ledger.</param>
    /// <param name="filter">What passes.</param>
    /// <param name="from">The first place that can pass.</param>
    /// <param name="to">The place past the last.</param>
    /// <param name="query">What to leave out at the start, and the most to list.</param>
    public static ClipSelection Of(JudgedLedger ledger, ClipFilter filter, int from, int to, LedgerQuery query)
    {
        var passing = new bool[ledger.Groups.All.Count];
        for (int group = 0; group < passing.Length; group++)
        {
            passing[group] = filter.Passes(ledger.Groups.All[group]);
        }

        var selection = new ClipSelection();
        if (!filter.IsByGroup)
        {
            selection.Walk(ledger, filter, passing, from, to, query);
            return selection;
        }

        for (int group = 0; group < passing.Length; group++)
        {
            if (passing[group])
            {
                (int clips, long size) = ledger.Groups.Sum(group);
                selection.Total += clips;
                selection.Met += ledger.Groups.All[group].MeetsRule ? clips : 0;
                selection.Size += size;
            }
        }

        selection.List(ledger.Groups.GroupOf, passing, from, to, query);
        return selection;
    }

    private void List(ReadOnlySpan<int> groupOf, bool[] passing, int from, int to, LedgerQuery query)
    {
        int wanted = Math.Min(query.Limit, Math.Max(0, Total - query.Skip));
        int passed = 0;
        for (int at = from; at < to && Listed.Count < wanted; at++)
        {
            if (passing[groupOf[at]] && ++passed > query.Skip)
            {
                Listed.Add(at);
            }
        }
    }

    private void Walk(JudgedLedger ledger, ClipFilter filter, bool[] passing, int from, int to, LedgerQuery query)
    {
        for (int at = from; at < to; at++)
        {
            if (!passing[ledger.Groups.GroupOf[at]] || !filter.PassesAlone(at))
            {
                continue;
            }

            if (Total >= query.Skip && Listed.Count < query.Limit)
            {
                Listed.Add(at);
            }

            ref ClipEntry entry = ref ledger.Entries[at];
            Total++;
            Met += entry.MeetsRule ? 1 : 0;
            Size += Math.Max(0, entry.Facts.Size);
        }
    }
}
