namespace KitMesh.Domain.Time;

/// <summary>All anchors of one boot: the best one for any moment is found by search.</summary>
/// <remarks>
/// The best anchor has the least doubt at the moment asked for: its own doubt and the drift since. Each anchor is a cone
/// of doubt of one slope, so an anchor under another's cone is never best and is left out, and of those that stay only
/// the two neighbours of a moment can be.
/// </remarks>
internal sealed class AnchorLine
{
    private readonly ClockAnchor[] _anchors;

    /// <summary>A line.</summary>
    /// <param name="anchors">At least one anchor, in any order.</param>
    /// <param name="trust">The rank of the clock behind them.</param>
    public AnchorLine(IEnumerable<ClockAnchor> anchors, ClockTrust trust)
    {
        Trust = trust;
        _anchors = Prune([.. anchors.Distinct().Order()]);
    }

    /// <summary>The rank of the clock behind the line.</summary>
    public ClockTrust Trust { get; }

    /// <summary>The best anchor for a moment; of two equally good ones the earlier.</summary>
    public ClockAnchor At(long monotonic)
    {
        int low = 0;
        int high = _anchors.Length;
        while (low < high)
        {
            int middle = (low + high) >> 1;
            if (_anchors[middle].Monotonic <= monotonic)
            {
                low = middle + 1;
            }
            else
            {
                high = middle;
            }
        }

        if (low == 0)
        {
            return _anchors[0];
        }

        ClockAnchor before = _anchors[low - 1];
        return low < _anchors.Length && _anchors[low].DoubtAt(monotonic) < before.DoubtAt(monotonic) ? _anchors[low] : before;
    }

    private static ClockAnchor[] Prune(ClockAnchor[] sorted)
    {
        var kept = new List<ClockAnchor>(sorted.Length);
        foreach (ClockAnchor anchor in sorted)
        {
            // Sorted by monotonic time, then doubt: whoever comes first wins a tie, so that the result is one for all.
            if (kept.Count > 0 && kept[^1].DoubtAt(anchor.Monotonic) <= anchor.Doubt)
            {
                continue;
            }

            while (kept.Count > 0 && anchor.DoubtAt(kept[^1].Monotonic) < kept[^1].Doubt)
            {
                kept.RemoveAt(kept.Count - 1);
            }

            kept.Add(anchor);
        }

        return [.. kept];
    }
}
