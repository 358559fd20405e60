using KitMesh.Domain.Reports;
using KitMesh.Domain.Exchange;

namespace KitMesh.Storage.Segments;

/// <summary>Every segment's description, in memory: about 150 bytes for 1,000 reports.</summary>
internal sealed class SegmentIndex
{
    private readonly SortedDictionary<OriginId, List<SegmentInfo>> _byOrigin = [];
    private readonly SortedDictionary<OriginId, List<SegmentInfo>> _forks = [];

    /// <summary>All segments and forks.</summary>
    public IEnumerable<SegmentInfo> All => _byOrigin.Values.SelectMany(list => list).Concat(_forks.Values.SelectMany(list => list));

    /// <summary>All origins, ascending.</summary>
    public IEnumerable<OriginId> Origins => _byOrigin.Keys;

    /// <summary>Adds a description, or replaces the one with the same place.</summary>
    public void Put(SegmentInfo info)
    {
        if (info.IsFork)
        {
            ListOf(_forks, info.Origin).Add(info);
            return;
        }

        List<SegmentInfo> list = ListOf(_byOrigin, info.Origin);
        int at = IndexOf(list, info.First);
        if (at >= 0)
        {
            list[at] = info;
        }
        else
        {
            list.Insert(~at, info);
        }
    }

    /// <summary>Replaces the description of a fork whose times changed.</summary>
    public void ReplaceFork(SegmentInfo old, SegmentInfo changed)
    {
        List<SegmentInfo> list = ListOf(_forks, old.Origin);
        list[list.IndexOf(old)] = changed;
    }

    /// <summary>Takes a description out.</summary>
    public void Remove(SegmentInfo info)
    {
        List<SegmentInfo> list = ListOf(_byOrigin, info.Origin);
        list.RemoveAt(IndexOf(list, info.First));
    }

    /// <summary>The highest sequence held of an origin; 0 for none.</summary>
    public ulong LastOf(OriginId origin) => _byOrigin.TryGetValue(origin, out List<SegmentInfo>? list) && list.Count > 0 ? list[^1].Last : 0;

    /// <summary>The segment that holds a sequence, or null.</summary>
    public SegmentInfo? Holding(OriginId origin, ulong sequence)
    {
        if (!_byOrigin.TryGetValue(origin, out List<SegmentInfo>? list))
        {
            return null;
        }

        int at = IndexOf(list, sequence);
        int candidate = at >= 0 ? at : ~at - 1;
        return candidate >= 0 && list[candidate].Last >= sequence ? list[candidate] : null;
    }

    /// <summary>The segments of an origin that hold a sequence at or after a given one, ascending.</summary>
    public IEnumerable<SegmentInfo> From(OriginId origin, ulong sequence)
    {
        if (!_byOrigin.TryGetValue(origin, out List<SegmentInfo>? list))
        {
            return [];
        }

        int at = IndexOf(list, sequence);
        int start = at >= 0 ? at : Math.Max(0, ~at - 1);
        return list.Skip(start).Where(info => info.Last >= sequence);
    }

    /// <summary>The forks of an origin.</summary>
    public IReadOnlyList<SegmentInfo> Forks(OriginId origin) => _forks.TryGetValue(origin, out List<SegmentInfo>? list) ? list : [];

    /// <summary>The segments of an origin, ascending.</summary>
    public IReadOnlyList<SegmentInfo> Of(OriginId origin) => _byOrigin.TryGetValue(origin, out List<SegmentInfo>? list) ? list : [];

    /// <summary>The sequences of an origin.</summary>
    public SequenceRanges Ranges(OriginId origin) => SequenceRanges.FromUnordered(Of(origin).Select(info => new SequenceRange(info.First, info.Last)));

    private static List<SegmentInfo> ListOf(SortedDictionary<OriginId, List<SegmentInfo>> lists, OriginId origin)
    {
        if (!lists.TryGetValue(origin, out List<SegmentInfo>? list))
        {
            lists.Add(origin, list = []);
        }

        return list;
    }

    private static int IndexOf(List<SegmentInfo> list, ulong first)
    {
        int low = 0, high = list.Count - 1;
        while (low <= high)
        {
            int middle = low + ((high - low) / 2);
            int order = list[middle].First.CompareTo(first);
            if (order == 0)
            {
                return middle;
            }

            (low, high) = order < 0 ? (middle + 1, high) : (low, middle - 1);
        }

        return ~low;
    }
}
