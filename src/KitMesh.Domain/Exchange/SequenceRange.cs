using System.Globalization;

namespace KitMesh.Domain.Exchange;

/// <summary>Sequence numbers from first to last, both included.</summary>
public readonly record struct SequenceRange
{
    /// <summary>A range.</summary>
    /// <param name="first">From 1.</param>
    /// <param name="last">Not below <paramref name="first"/>, and below the largest number that fits.</param>
    /// <exception cref="ArgumentOutOfRangeException">The range holds nothing or starts at 0.</exception>
    public SequenceRange(ulong first, ulong last)
    {
        ArgumentOutOfRangeException.ThrowIfZero(first);
        ArgumentOutOfRangeException.ThrowIfLessThan(last, first);
        ArgumentOutOfRangeException.ThrowIfEqual(last, ulong.MaxValue);
        First = first;
        Last = last;
    }

    /// <summary>The first number.</summary>
    public ulong First { get; }

    /// <summary>The last number.</summary>
    public ulong Last { get; }

    /// <summary>How many numbers there are.</summary>
    public ulong Count => Last - First + 1;

    /// <summary>Whether two numbers can be the ends of a range.</summary>
    /// <param name="first">The first.</param>
    /// <param name="last">The last.</param>
    public static bool IsValid(ulong first, ulong last) => first > 0 && last >= first && last < ulong.MaxValue;

    /// <summary>The two ends.</summary>
    public override string ToString() => string.Create(CultureInfo.InvariantCulture, $"{First}..{Last}");
}
