using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Models.Box;
using KitMesh.Outlook.Energy;
using NodaTime;

namespace KitMesh.Outlook.Learning;

// Problem: heat loss and heat capacity of a box from its ordinary temperatures, while nobody reports when the heater ran.
// Trap: cells that cool slowly because they are charged or drawn hard, or because the thermostat came on half-way, look like a better box; in a back-test that made every
// learnt outlook too hopeful. Choosing single falls picks those that noise made steep; air of an hour ago is warmer than the air of the night's fall.
// Method: only long runs of falls with hardly any current, in which the heater was off, and of rises while nothing charges and no more flows out than the heater takes, in which it was on; first and last reading are
// left out, because the thermostat may have switched between them and the next. Cells that rise by themselves, with the air or by what they give, look like a very heavy box: so most of what the heater takes
// must flow out; and an evening's loads look like a heater, so hours in which loads take much tell no rise. A whole run is one span, so that noise at its ends counts once. Falls tell UA/C, rises with the heater's declared power C.
// Check: BoxReadingsTests, LearnerTests; back-test in docs/models/outlook.md.

/// <summary>Picks the spans in which a box surely cooled by itself or was heated throughout.</summary>
internal static class BoxReadings
{
    private const int LeastRun = 4;
    private static readonly Duration Apart = Duration.FromMinutes(20);
    private static readonly Duration Longest = Duration.FromMinutes(150);
    private const double MostRate = 0.01;

    /// <summary>Loads that take more than this share of what the heater takes can be mistaken for it. Own choice.</summary>
    private const double MostLoad = 0.5;

    /// <summary>Less than this share of the heater's current is not the heater. Own choice.</summary>
    private const double LeastHeater = 0.75;

    /// <summary>Shows the learner every usable span.</summary>
    internal static void Show(
        BoxLearner learner,
        BankKit bank,
        IReadOnlyList<(Instant Time, BatteryReading Body)> cells,
        IReadOnlyList<(Instant Time, Celsius Value)> air,
        Func<Instant, double> loadWatts)
    {
        var run = new List<(Instant Time, Celsius Cell)>();
        double mostAmperes = MostRate * bank.Model.Pack.Capacity.Value;
        double heater = bank.Box?.Heater.Value ?? 0;
        double heaterAmperes = heater / Math.Max(1, bank.Model.OpenCircuit(new(0.5)).Value);
        Rises(learner, [.. cells.Where(cell => loadWatts(cell.Time) <= MostLoad * heater)], air, heater, mostAmperes, heaterAmperes);
        foreach ((Instant time, BatteryReading body) in cells)
        {
            if (body.ColdestProbe is not { } cell || (run.Count > 0 && time - run[^1].Time < Apart))
            {
                continue;
            }

            bool calm = body.Amperes is { } amperes && Math.Abs(amperes.Value) <= mostAmperes;
            bool falls = run.Count == 0 || (cell < run[^1].Cell && time - run[^1].Time <= Longest);
            if (!calm || !falls)
            {
                Use(learner, run, air);
                run.Clear();
            }

            if (calm)
            {
                run.Add((time, cell));
            }
        }

        Use(learner, run, air);
    }

    // What flows out is the heater's and little else's; what charges warms the cells by itself.
    private static void Rises(
        BoxLearner learner, IReadOnlyList<(Instant Time, BatteryReading Body)> cells, IReadOnlyList<(Instant Time, Celsius Value)> air, double heaterWatts, double mostAmperes, double heaterAmperes)
    {
        var run = new List<(Instant Time, Celsius Cell)>();
        foreach ((Instant time, BatteryReading body) in heaterWatts > 0 ? cells : [])
        {
            if (body.ColdestProbe is not { } cell || (run.Count > 0 && time - run[^1].Time < Apart))
            {
                continue;
            }

            bool heats = body.Amperes is { } amperes && amperes.Value <= -(LeastHeater * heaterAmperes) && amperes.Value >= -(1.5 * heaterAmperes) - mostAmperes;
            bool rises = run.Count == 0 || (cell > run[^1].Cell && time - run[^1].Time <= Longest);
            if (!heats || !rises)
            {
                Use(learner, run, air, heaterWatts);
                run.Clear();
            }

            if (heats)
            {
                run.Add((time, cell));
            }
        }

        Use(learner, run, air, heaterWatts);
    }

    // At most six hours at once: the learner takes no longer spans.
    private static void Use(BoxLearner learner, List<(Instant Time, Celsius Cell)> run, IReadOnlyList<(Instant Time, Celsius Value)> air, double heaterWatts = 0)
    {
        int from = 1;
        while (run.Count >= LeastRun && from < run.Count - 2)
        {
            int to = from + 1;
            while (to + 1 < run.Count - 1 && run[to + 1].Time - run[from].Time <= Duration.FromHours(6))
            {
                to++;
            }

            if (Air(air, run[from].Time, run[to].Time) is { } outside)
            {
                learner.See(run[from].Cell, run[to].Cell, outside, new WattHours(heaterWatts * (run[to].Time - run[from].Time).TotalHours), run[to].Time - run[from].Time);
            }

            from = to;
        }
    }

    private static Celsius? Air(IReadOnlyList<(Instant Time, Celsius Value)> air, Instant from, Instant to)
    {
        double sum = 0;
        int count = 0;
        for (int i = Before(air, from); i < air.Count && air[i].Time <= to; i++)
        {
            sum += air[i].Value.Value;
            count++;
        }

        return count > 0 ? new Celsius(sum / count) : null;
    }

    private static int Before(IReadOnlyList<(Instant Time, Celsius Value)> air, Instant time)
    {
        int low = 0;
        int high = air.Count;
        while (low < high)
        {
            int middle = (low + high) / 2;
            (low, high) = air[middle].Time < time ? (middle + 1, high) : (low, middle);
        }

        return low;
    }
}
