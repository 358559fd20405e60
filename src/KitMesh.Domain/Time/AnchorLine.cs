namespace KitMesh.Domain.Time;

/// <summary>All anchors of one boot: the best one for any moment is found by search.</summary>
/// <remarks>
/// The best anchor has the least doubt at the moment asked for: its own doubt and the drift since. Each anchor is a cone
/// of doubt of one slope, so an anchor under another's cone is never best and is left out, and of those that stay only
/// the two neighbours of a moment can be. An anchor that says what an earlier one says, as far as both can tell, takes
/// that one's offset and keeps only its smaller doubt: otherwise each new clock pair would move every time by the
/// microseconds between two readings. Two lines are equal when they give the same times; doubts may differ.
/// </remarks>
internal sealed class AnchorLine : IEquatable<AnchorLine>
{
    /// <summary>Two anchors closer than this, and their doubts, say the same: 50 ms in nanoseconds.</summary>
    private const long Same = 50_000_000;

    private readonly ClockAnchor[] _anchors;
    private readonly Run[] _runs;

    /// <summary>A line.</summary>
    /// <param name="anchors">At least one anchor, in any order.</param>
    /// <param name="trust">The rank of the clock behind them.</param>
    public AnchorLine(IEnumerable<ClockAnchor> anchors, ClockTrust trust)
    {
        Trust = trust;
        _anchors = Settle(Prune([.. anchors.Distinct().Order()]));
        _runs = [.. Runs(_anchors)];
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

    /// <inheritdoc/>
    public bool Equals(AnchorLine? other) => other is not null && Trust == other.Trust && _runs.AsSpan().SequenceEqual(other._runs);

    /// <inheritdoc/>
    public override bool Equals(object? obj) => Equals(obj as AnchorLine);

    /// <inheritdoc/>
    public override int GetHashCode() => HashCode.Combine(Trust, _runs.Length, _runs[0]);

    /// <summary>Gives each anchor the offset of the last one that it does not contradict.</summary>
    private static ClockAnchor[] Settle(ClockAnchor[] sorted)
    {
        ClockAnchor leader = sorted[0];
        for (int i = 1; i < sorted.Length; i++)
        {
            ClockAnchor anchor = sorted[i];
            Int128 apart = Int128.Abs((Int128)anchor.Time - leader.TimeAt(anchor.Monotonic));
            if (apart > (Int128)Same + anchor.Doubt + leader.Doubt)
            {
                leader = anchor;
            }
            else
            {
                sorted[i] = anchor with { Time = leader.TimeAt(anchor.Monotonic) };
            }
        }

        return sorted;
    }

    /// <summary>What times hang on: the offsets, and the anchors between which they change.</summary>
    private static IEnumerable<Run> Runs(ClockAnchor[] anchors)
    {
        for (int start = 0; start < anchors.Length;)
        {
            int end = start;
            while (end + 1 < anchors.Length && Offset(anchors[end + 1]) == Offset(anchors[start]))
            {
                end++;
            }

            yield return new Run(
                Offset(anchors[start]),
                start == 0 ? default : (anchors[start].Monotonic, anchors[start].Doubt),
                end + 1 == anchors.Length ? default : (anchors[end].Monotonic, anchors[end].Doubt));
            start = end + 1;
        }
    }

    private static Int128 Offset(ClockAnchor anchor) => (Int128)anchor.Time - anchor.Monotonic;

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

    private readonly record struct Run(Int128 Offset, (long Monotonic, long Doubt) Begin, (long Monotonic, long Doubt) End);
}
