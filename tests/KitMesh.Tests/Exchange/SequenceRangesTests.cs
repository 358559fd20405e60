using CsCheck;
using KitMesh.Domain.Exchange;

namespace KitMesh.Tests.Exchange;

/// <summary>Sets of ranges against plain sets of numbers.</summary>
public sealed class SequenceRangesTests
{
    private static readonly Gen<SequenceRange[]> Ranges =
        Gen.Select(Gen.ULong[1, 60], Gen.ULong[0, 12], (first, more) => new SequenceRange(first, first + more)).Array[0, 8];

    [Fact]
    public void Algebra_AgreesWithPlainSets() => Gen.Select(Ranges, Ranges).Sample(
        (a, b) =>
        {
            HashSet<ulong> plainA = Numbers(a);
            HashSet<ulong> plainB = Numbers(b);
            var left = SequenceRanges.FromUnordered(a);
            var right = SequenceRanges.FromUnordered(b);

            Same(plainA, left);
            Same([.. plainA.Union(plainB)], left.Union(right));
            Same([.. plainA.Intersect(plainB)], left.Intersect(right));
            Same([.. plainA.Except(plainB)], left.Except(right));
            Assert.Equal(left.Union(right), right.Union(left));
            Assert.Equal(left, left.Union(left));
            Assert.Equal(SequenceRanges.Empty, left.Except(left));
        },
        iter: 3_000);

    [Fact]
    public void Union_IsAssociative() => Gen.Select(Ranges, Ranges, Ranges).Sample(
        (a, b, c) =>
        {
            var x = SequenceRanges.FromUnordered(a);
            var y = SequenceRanges.FromUnordered(b);
            var z = SequenceRanges.FromUnordered(c);
            Assert.Equal(x.Union(y).Union(z), x.Union(y.Union(z)));
        },
        iter: 1_000);

    [Fact]
    public void PrefixEnd_IsTheEndOfTheRunFromOne()
    {
        Assert.Equal(7UL, SequenceRanges.Of(1, 7).Union(SequenceRanges.Of(9, 12)).PrefixEnd);
        Assert.Equal(0UL, SequenceRanges.Of(2, 7).PrefixEnd);
        Assert.Equal(12UL, SequenceRanges.Of(1, 7).Union(SequenceRanges.Of(9, 12)).Last);
    }

    [Fact]
    public void Except_AtTheLargestNumbers_DoesNotWrap()
    {
        ulong last = ulong.MaxValue - 1;

        Assert.Equal(SequenceRanges.Of(1, 4), SequenceRanges.Of(1, last).Except(SequenceRanges.Of(5, last)));
        Assert.Equal(SequenceRanges.Of(last, last), SequenceRanges.Of(1, last).Except(SequenceRanges.Of(1, last - 1)));
    }

    [Theory]
    [InlineData(0UL, 5UL)]
    [InlineData(5UL, 4UL)]
    [InlineData(1UL, ulong.MaxValue)]
    public void Range_ThatHoldsNothing_Throws(ulong first, ulong last)
    {
        Assert.False(SequenceRange.IsValid(first, last));
        Assert.Throws<ArgumentOutOfRangeException>(() => new SequenceRange(first, last));
    }

    private static HashSet<ulong> Numbers(IEnumerable<SequenceRange> ranges) =>
        [.. ranges.SelectMany(range => Enumerable.Range(0, (int)range.Count).Select(i => range.First + (ulong)i))];

    private static void Same(HashSet<ulong> plain, SequenceRanges ranges)
    {
        Assert.Equal(plain.Order(), Numbers(ranges).Order());
        Assert.Equal((ulong)plain.Count, ranges.Numbers);
        for (ulong number = 1; number < 80; number++)
        {
            Assert.Equal(plain.Contains(number), ranges.Contains(number));
        }

        for (int i = 1; i < ranges.Count; i++)
        {
            Assert.True(ranges[i].First > ranges[i - 1].Last + 1, "ranges touch");
        }
    }
}
