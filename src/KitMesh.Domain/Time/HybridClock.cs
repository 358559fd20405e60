using NodaTime;

namespace KitMesh.Domain.Time;

/// <summary>A hybrid logical clock as a value: each step gives the next clock.</summary>
/// <param name="Last">The timestamp of the last step.</param>
/// <remarks>
/// <para>
/// Problem: facts of nodes whose clocks are sound should sort as they happened, also when two happen in one millisecond
/// or a clock lags a little. Method: the timestamp is the larger of the wall clock and everything seen, with a counter
/// that tells equal milliseconds apart. Source: Kulkarni, Demirbas, Madappa, Avva, Leone, "Logical Physical Clocks",
/// OPODIS 2014, LNCS 8878, pp. 17 to 32; its bounds (l ≥ pt, l &lt; pt + ε, c bounded) are tests.
/// </para>
/// <para>
/// Trap: the bounds assume that clocks differ by at most ε. Devices here wake with dead clocks, and one that believes in
/// 2099 would drag every clock along for ever. So a remote timestamp further ahead of the wall clock than
/// <see cref="DriftLimit"/> is not taken in, and a clock that is itself ahead by more (its wall clock was wrong and has
/// been set back) starts again from the wall. Order inside an origin is its sequence, never this.
/// </para>
/// </remarks>
public readonly record struct HybridClock(HybridTime Last)
{
    /// <summary>How far a remote timestamp may be ahead of this wall clock and still be taken in.</summary>
    public static readonly Duration DriftLimit = Duration.FromMinutes(5);

    private const long DriftLimitMilliseconds = 5 * 60 * 1000;

    /// <summary>The timestamp for something that happens here now.</summary>
    /// <param name="wall">The wall clock.</param>
    /// <returns>The clock after it; its <see cref="Last"/> is the timestamp.</returns>
    public HybridClock Next(Instant wall)
    {
        long physical = Milliseconds(wall);
        if (physical > Last.Milliseconds || IsFarAhead(Last, physical))
        {
            return new HybridClock(HybridTime.From(physical, 0));
        }

        return new HybridClock(After(Last));
    }

    /// <summary>Takes in the timestamp of something that came from elsewhere.</summary>
    /// <param name="remote">Its timestamp.</param>
    /// <param name="wall">The wall clock.</param>
    /// <param name="taken">False when it is too far ahead and was left out.</param>
    /// <returns>The clock after it.</returns>
    public HybridClock Receive(HybridTime remote, Instant wall, out bool taken)
    {
        long physical = Milliseconds(wall);
        taken = !IsFarAhead(remote, physical);
        HybridTime known = IsFarAhead(Last, physical) ? default : Last;
        HybridTime seen = taken && remote.CompareTo(known) > 0 ? remote : known;
        return new HybridClock(physical > seen.Milliseconds ? HybridTime.From(physical, 0) : After(seen));
    }

    private static bool IsFarAhead(HybridTime time, long physical) => time.Milliseconds - physical > DriftLimitMilliseconds;

    private static HybridTime After(HybridTime time) =>
        time.Packed == ulong.MaxValue ? time : new HybridTime(time.Packed + 1);

    private static long Milliseconds(Instant wall) => Math.Clamp(wall.ToUnixTimeMilliseconds(), 0, HybridTime.MaxMilliseconds);
}
