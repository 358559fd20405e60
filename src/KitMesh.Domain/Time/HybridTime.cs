using NodaTime;

namespace KitMesh.Domain.Time;

/// <summary>A hybrid logical timestamp: 48 bits of Unix milliseconds and a 16-bit counter, ordered as one number.</summary>
/// <param name="Packed">Milliseconds in the upper 48 bits, counter in the lower 16.</param>
/// <remarks>
/// Source: S. Kulkarni, M. Demirbas, D. Madappa, B. Avva, M. Leone, "Logical Physical Clocks", OPODIS 2014,
/// LNCS 8878, pp. 17 to 32. The 48 + 16 bit layout is the one its authors propose for 64-bit stores (from memory).
/// </remarks>
public readonly record struct HybridTime(ulong Packed) : IComparable<HybridTime>
{
    /// <summary>The largest millisecond count that fits (in the year 10889).</summary>
    public const long MaxMilliseconds = (1L << 48) - 1;

    /// <summary>A timestamp from its two parts.</summary>
    /// <param name="milliseconds">Unix milliseconds, from 0 to <see cref="MaxMilliseconds"/>.</param>
    /// <param name="counter">Events told apart inside the millisecond.</param>
    /// <exception cref="ArgumentOutOfRangeException">The milliseconds do not fit.</exception>
    public static HybridTime From(long milliseconds, ushort counter)
    {
        ArgumentOutOfRangeException.ThrowIfNegative(milliseconds);
        ArgumentOutOfRangeException.ThrowIfGreaterThan(milliseconds, MaxMilliseconds);
        return new(((ulong)milliseconds << 16) | counter);
    }

    /// <summary>Unix milliseconds of the physical part.</summary>
    public long Milliseconds => (long)(Packed >> 16);

    /// <summary>The logical counter.</summary>
    public ushort Counter => (ushort)Packed;

    /// <summary>The physical part as an instant.</summary>
    public Instant Instant => Instant.FromUnixTimeMilliseconds(Milliseconds);

    /// <inheritdoc/>
    public int CompareTo(HybridTime other) => Packed.CompareTo(other.Packed);
}
