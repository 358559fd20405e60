using KitMesh.Domain.Quantities;

namespace KitMesh.Offload.Drives;

/// <summary>Adds up energy above an idle draw from readings of power, each holding until the next.</summary>
/// <remarks>
/// A reading is believed for at most <see cref="LongestGap"/>: a meter that fell silent must not go on costing. Time
/// without a reading counts for nothing, and <see cref="Covered"/> says how much of the time was measured.
/// </remarks>
public sealed class EnergyTally(Watts idle)
{
    /// <summary>How long a reading holds.</summary>
    public static readonly TimeSpan LongestGap = TimeSpan.FromMinutes(2);

    private Watts? _last;
    private double _joules;
    private TimeSpan _covered;
    private TimeSpan _total;

    /// <summary>Energy above idle so far; never below zero.</summary>
    public WattHours AboveIdle => new(Math.Max(0, _joules) / 3600);

    /// <summary>Share of the time that was measured, 0 to 1.</summary>
    public double Covered => _total > TimeSpan.Zero ? _covered / _total : 0;

    /// <summary>Takes a reading.</summary>
    /// <param name="since">Machine time since the reading before; zero for the first.</param>
    /// <param name="now">The draw; null when the meter does not tell.</param>
    public void Add(TimeSpan since, Watts? now)
    {
        _total += since;
        if (_last is { } held && since > TimeSpan.Zero)
        {
            TimeSpan counts = since < LongestGap ? since : LongestGap;

            // Between two readings the draw is taken to go straight from one to the other.
            double mean = now is { } next ? (held.Value + next.Value) / 2 : held.Value;
            _joules += (mean - idle.Value) * counts.TotalSeconds;
            _covered += counts;
        }

        _last = now;
    }
}
