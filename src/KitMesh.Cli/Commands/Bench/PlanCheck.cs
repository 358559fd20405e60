using KitMesh.Domain;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using KitMesh.Outlook.Energy;
using KitMesh.Outlook.Plan;

namespace KitMesh.Cli.Commands.Bench;

// Whether a plan's chances hold: by bank against the share of played trips, by day in bins of the promised chance, and the energies behind them. Trips of one plan share its
// doubts, so that the days of a bank stand or fall together: a bin is no sample of independent cases, and its interval is the plan's own.

/// <summary>A plan against played trips.</summary>
internal sealed class PlanCheck(TripPlan plan, ValueList<KitItem> kit, IReadOnlyDictionary<KitId, List<PlayedBank>> played, int paths)
{
    private static readonly double[] BinEnds = [0.02, 0.1, 0.25, 0.5, 0.75, 1];

    /// <summary>The last day of each bank.</summary>
    public IEnumerable<object> Banks() => plan.Energy.Banks.Select(bank => Row(bank.Bank, bank.ShortByLastDay, Share(bank.Bank, int.MaxValue), played[bank.Bank].Count));

    /// <summary>Every day of every bank, by the promised chance.</summary>
    public IEnumerable<object> Bins()
    {
        var cells = plan.Energy.Banks.SelectMany(bank => bank.Days.Select((day, i) => (day.ShortByThen, Played: Share(bank.Bank, i)))).ToArray();
        double from = 0;
        foreach (double end in BinEnds)
        {
            var inside = cells.Where(cell => cell.ShortByThen.Best.Value >= from && (cell.ShortByThen.Best.Value < end || end == 1)).ToArray();
            if (inside.Length > 0)
            {
                yield return new
                {
                    from,
                    to = end,
                    cells = inside.Length,
                    promised = inside.Average(cell => cell.ShortByThen.Best.Value),
                    promisedLow = inside.Average(cell => cell.ShortByThen.Low.Value),
                    promisedHigh = inside.Average(cell => cell.ShortByThen.High.Value),
                    played = inside.Average(cell => cell.Played),
                    cellsWithin = inside.Count(cell => cell.Played >= cell.ShortByThen.Low.Value - 0.005 && cell.Played <= cell.ShortByThen.High.Value + 0.005),
                };
            }

            from = end;
        }
    }

    /// <summary>What stands behind the chances, as means of a trip.</summary>
    public IEnumerable<object> Parts() => plan.Energy.Banks.SelectMany(bank =>
    {
        EnergyEnsemble paths1 = EnergyEnsemble.Of(new EnergyQuestion(plan.Energy.AsOf, kit, [], [], 1, paths) { Caution = PlanCaution.Usual }, bank.Bank, learn: false)!;
        List<PlayedBank> own = played[bank.Bank];
        return new[]
        {
            Part(bank.Bank, "sun, Wh a day", own.Select(trip => trip.SunWh), paths1.HarvestWattHours),
            Part(bank.Bank, "loads, Wh a day", own.Select(trip => trip.LoadWh), paths1.LoadWattHours),
            Part(bank.Bank, "heater, Wh a day", own.Select(trip => trip.HeaterWh), paths1.HeaterWattHours),
            Part(bank.Bank, "charge at the end of a day", own.Select(trip => trip.EndFraction), paths1.EndFractions),
        };
    });

    private double Share(KitId bank, int day) => played[bank].Count(trip => trip.FirstShort <= day) / (double)played[bank].Count;

    private static object Row(KitId bank, ChanceRange promised, double share, int trips)
    {
        // Wilson's interval, 95 %: E. B. Wilson, Journal of the American Statistical Association 22 (1927) 209 to 212.
        const double Z = 1.959964;
        double middle = (share + (Z * Z / (2 * trips))) / (1 + (Z * Z / trips));
        double half = Z * Math.Sqrt((share * (1 - share) / trips) + (Z * Z / (4.0 * trips * trips))) / (1 + (Z * Z / trips));
        return new
        {
            bank,
            promised = promised.Best,
            promisedLow = promised.Low,
            promisedHigh = promised.High,
            played = share,
            playedLow = middle - half,
            playedHigh = middle + half,
            within = middle - half <= promised.High.Value && middle + half >= promised.Low.Value,
        };
    }

    private static object Part(KitId bank, string what, IEnumerable<double[]> happened, IReadOnlyList<double[]> planned)
    {
        double[] trips = [.. happened.Select(days => days.Average())];
        double[] told = [.. Enumerable.Range(0, planned[0].Length).Select(path => planned.Average(day => day[path])).Order()];
        (double low, double high) = (told[(int)(0.1 * (told.Length - 1))], told[(int)(0.9 * (told.Length - 1))]);
        return new { bank, what, played = trips.Average(), planned = told.Average(), plannedLow = low, plannedHigh = high, playedInside = trips.Count(trip => trip >= low && trip <= high) / (double)trips.Length };
    }
}
