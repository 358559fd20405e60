using System.Collections;

namespace KitMesh.Domain.Exchange;

/// <summary>An immutable set of sequence numbers, kept as ranges in order with a gap between each two.</summary>
/// <remarks>
/// What a node holds of an origin is nearly always one range, so that a set costs a few bytes however long the trip is.
/// Every operation is linear in the number of ranges.
/// </remarks>
public sealed class SequenceRanges : IReadOnlyList<SequenceRange>, IEquatable<SequenceRanges>
{
    /// <summary>No number at all.</summary>
    public static readonly SequenceRanges Empty = new([]);

    private readonly SequenceRange[] _ranges;

    private SequenceRanges(SequenceRange[] ranges) => _ranges = ranges;

    /// <summary>How many ranges there are.</summary>
    public int Count => _ranges.Length;

    /// <summary>Whether there is no number.</summary>
    public bool IsEmpty => _ranges.Length == 0;

    /// <summary>How many numbers there are.</summary>
    public ulong Numbers
    {
        get
        {
            ulong sum = 0;
            foreach (SequenceRange range in _ranges)
            {
                sum += range.Count;
            }

            return sum;
        }
    }

    /// <summary>The highest number; 0 when there is none.</summary>
    public ulong Last => IsEmpty ? 0 : _ranges[^1].Last;

    /// <summary>The end of the range that starts at 1; 0 when 1 is missing.</summary>
    public ulong PrefixEnd => !IsEmpty && _ranges[0].First == 1 ? _ranges[0].Last : 0;

    /// <inheritdoc/>
    public SequenceRange this[int index] => _ranges[index];

    /// <summary>The set of the numbers of one range.</summary>
    /// <param name="range">The range.</param>
    public static SequenceRanges Of(SequenceRange range) => new([range]);

    /// <summary>The set of the numbers of a range.</summary>
    /// <param name="first">Its first number, from 1.</param>
    /// <param name="last">Its last number.</param>
    public static SequenceRanges Of(ulong first, ulong last) => Of(new SequenceRange(first, last));

    /// <summary>The set of the numbers of any ranges: unsorted, overlapping and touching ones too.</summary>
    /// <param name="ranges">The ranges.</param>
    public static SequenceRanges FromUnordered(IEnumerable<SequenceRange> ranges)
    {
        ArgumentNullException.ThrowIfNull(ranges);
        var merged = new List<SequenceRange>();
        foreach (SequenceRange range in ranges.OrderBy(range => range.First))
        {
            if (merged.Count > 0 && range.First <= merged[^1].Last + 1)
            {
                merged[^1] = new SequenceRange(merged[^1].First, Math.Max(merged[^1].Last, range.Last));
            }
            else
            {
                merged.Add(range);
            }
        }

        return merged.Count == 0 ? Empty : new SequenceRanges([.. merged]);
    }

    /// <summary>Whether a number is in the set.</summary>
    /// <param name="sequence">The number.</param>
    public bool Contains(ulong sequence)
    {
        int low = 0;
        int high = _ranges.Length - 1;
        while (low <= high)
        {
            int middle = (low + high) >> 1;
            if (sequence < _ranges[middle].First)
            {
                high = middle - 1;
            }
            else if (sequence > _ranges[middle].Last)
            {
                low = middle + 1;
            }
            else
            {
                return true;
            }
        }

        return false;
    }

    /// <summary>Numbers that are in either.</summary>
    /// <param name="other">The other set.</param>
    public SequenceRanges Union(SequenceRanges other)
    {
        ArgumentNullException.ThrowIfNull(other);
        return other.IsEmpty ? this : IsEmpty ? other : FromUnordered(_ranges.Concat(other._ranges));
    }

    /// <summary>Numbers that are in the set or in one more range.</summary>
    /// <param name="range">The range.</param>
    public SequenceRanges With(SequenceRange range) => Union(Of(range));

    /// <summary>Numbers that are in both.</summary>
    /// <param name="other">The other set.</param>
    public SequenceRanges Intersect(SequenceRanges other)
    {
        ArgumentNullException.ThrowIfNull(other);
        var both = new List<SequenceRange>();
        int mine = 0;
        int theirs = 0;
        while (mine < _ranges.Length && theirs < other._ranges.Length)
        {
            SequenceRange left = _ranges[mine];
            SequenceRange right = other._ranges[theirs];
            ulong first = Math.Max(left.First, right.First);
            ulong last = Math.Min(left.Last, right.Last);
            if (first <= last)
            {
                both.Add(new SequenceRange(first, last));
            }

            if (left.Last < right.Last)
            {
                mine++;
            }
            else
            {
                theirs++;
            }
        }

        return both.Count == 0 ? Empty : new SequenceRanges([.. both]);
    }

    /// <summary>Numbers that are in this set and not in the other.</summary>
    /// <param name="other">The other set.</param>
    public SequenceRanges Except(SequenceRanges other)
    {
        ArgumentNullException.ThrowIfNull(other);
        if (IsEmpty || other.IsEmpty)
        {
            return this;
        }

        var left = new List<SequenceRange>();
        int theirs = 0;
        foreach (SequenceRange range in _ranges)
        {
            ulong from = range.First;
            while (theirs < other._ranges.Length && other._ranges[theirs].Last < from)
            {
                theirs++;
            }

            for (int i = theirs; from <= range.Last && i < other._ranges.Length && other._ranges[i].First <= range.Last; i++)
            {
                if (other._ranges[i].First > from)
                {
                    left.Add(new SequenceRange(from, other._ranges[i].First - 1));
                }

                from = Math.Max(from, other._ranges[i].Last + 1);
            }

            if (from <= range.Last)
            {
                left.Add(new SequenceRange(from, range.Last));
            }
        }

        return left.Count == 0 ? Empty : new SequenceRanges([.. left]);
    }

    /// <inheritdoc/>
    public bool Equals(SequenceRanges? other) => other is not null && _ranges.AsSpan().SequenceEqual(other._ranges);

    /// <inheritdoc/>
    public override bool Equals(object? obj) => Equals(obj as SequenceRanges);

    /// <inheritdoc/>
    public override int GetHashCode()
    {
        var hash = default(HashCode);
        foreach (SequenceRange range in _ranges)
        {
            hash.Add(range);
        }

        return hash.ToHashCode();
    }

    /// <inheritdoc/>
    public IEnumerator<SequenceRange> GetEnumerator() => ((IEnumerable<SequenceRange>)_ranges).GetEnumerator();

    IEnumerator IEnumerable.GetEnumerator() => _ranges.GetEnumerator();

    /// <summary>The ranges with commas between.</summary>
    public override string ToString() => string.Join(", ", _ranges);
}
