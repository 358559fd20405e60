namespace KitMesh.Domain.Time;

/// <summary>One point at which a boot's monotonic clock is tied to time.</summary>
/// <param name="Monotonic">Nanoseconds on the boot's monotonic clock.</param>
/// <param name="Time">Unix nanoseconds.</param>
/// <param name="Doubt">Nanoseconds by which <paramref name="Time"/> may be off.</param>
internal readonly record struct ClockAnchor(long Monotonic, long Time, long Doubt) : IComparable<ClockAnchor>
{
    /// <summary>Quartz in the cold drifts by up to about 100 parts in a million. Common practice, no published source for these devices.</summary>
    public const long DriftDivisor = 10_000;

    /// <summary>The time at another moment of the same boot.</summary>
    public long TimeAt(long monotonic) => Saturate((Int128)Time + monotonic - Monotonic);

    /// <summary>The doubt at another moment of the same boot.</summary>
    public long DoubtAt(long monotonic) => Saturate(Doubt + (Int128.Abs((Int128)monotonic - Monotonic) / DriftDivisor));

    /// <inheritdoc/>
    public int CompareTo(ClockAnchor other)
    {
        int byMonotonic = Monotonic.CompareTo(other.Monotonic);
        if (byMonotonic != 0)
        {
            return byMonotonic;
        }

        int byDoubt = Doubt.CompareTo(other.Doubt);
        return byDoubt != 0 ? byDoubt : Time.CompareTo(other.Time);
    }

    /// <summary>A number held inside 64 bits: hostile clocks may add up to more.</summary>
    public static long Saturate(Int128 value) =>
        value > long.MaxValue ? long.MaxValue : value < long.MinValue ? long.MinValue : (long)value;
}
