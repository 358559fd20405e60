using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using NodaTime;

namespace KitMesh.Outlook.Energy;

// Problem: a sensor that hangs goes on sending its last value; taken as fresh it hides that nothing is known any more.
// Trap: some true values do stand still: a pack that nobody draws from, a meter that shows tenths of a volt on a flat cell, a device that reports only changes.
// Method: the last value to the last digit, in at least 24 readings over at least 18 hours (own choice: longer than any night's steady load), and only where it should have
// moved meanwhile. What came after the first of the equal readings is left out, so that all that depends on it grows as unsure as if the sensor had fallen silent there.
// Check: BadInputTests.

/// <summary>Finds sensors that repeat themselves.</summary>
internal static class HungSensors
{
    private static readonly Duration Least = Duration.FromHours(18);
    private const int LeastReadings = 24;

    /// <summary>Part of a capacity that must have moved while the readings did not.</summary>
    private const double LeastMove = 0.05;

    /// <summary>How many readings of a series to believe: all, or up to the first of those that repeat themselves.</summary>
    /// <param name="series">One sensor's readings in order of time.</param>
    /// <param name="same">Whether two of them are equal to the last digit.</param>
    internal static int Believed<T>(IReadOnlyList<(Instant Time, T Body)> series, Func<T, T, bool> same)
    {
        int first = series.Count - 1;
        while (first > 0 && same(series[first - 1].Body, series[^1].Body))
        {
            first--;
        }

        bool hangs = series.Count - first >= LeastReadings && series[^1].Time - series[first].Time >= Least;
        return hangs ? first + 1 : series.Count;
    }

    /// <summary>A bank's readings without those of a battery sensor that hangs.</summary>
    /// <param name="kit">The bank.</param>
    /// <param name="all">Readings of the bank and its packs.</param>
    /// <param name="hung">The bank or packs whose sensor hangs.</param>
    internal static IReadOnlyList<(Instant Time, BatteryReading Body)> Battery(
        BankKit kit, IReadOnlyList<(Instant Time, BatteryReading Body)> all, out IReadOnlyList<KitId> hung)
    {
        var found = new List<KitId>();
        var kept = new List<(Instant Time, BatteryReading Body)>(all.Count);
        foreach (IGrouping<KitId, (Instant Time, BatteryReading Body)> sensor in all.GroupBy(reading => reading.Body.Pack).OrderBy(group => group.Key))
        {
            (Instant Time, BatteryReading Body)[] series = [.. sensor];
            int believed = Believed(series, Same);
            if (believed < series.Length && !ShouldHaveMoved(kit, series[^1].Body, series[^1].Time - series[believed - 1].Time))
            {
                believed = series.Length;
            }

            kept.AddRange(series[..believed]);
            if (believed < series.Length)
            {
                found.Add(sensor.Key);
            }
        }

        hung = found;
        return [.. kept.OrderBy(reading => reading.Time)];
    }

    // Volts alone may stand still on a flat cell; a current or a stated charge may not while charge moves.
    private static bool Same(BatteryReading a, BatteryReading b) =>
        (b.Amperes is not null || b.Charge is not null) && a.Amperes == b.Amperes && a.Charge == b.Charge && a.Volts == b.Volts;

    private static bool ShouldHaveMoved(BankKit kit, BatteryReading last, Duration over)
    {
        double shown = Math.Abs(kit.Whole(last.Pack, last.Amperes ?? default).Value) * over.TotalHours / kit.Model.Pack.Capacity.Value;
        return Math.Max(shown, kit.LoadMeanWatts * over.TotalHours / kit.CapacityWh) > LeastMove;
    }
}
