using KitMesh.Domain.Kit;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Models.Panel;
using KitMesh.Outlook.Energy;
using NodaTime;

namespace KitMesh.Outlook.Learning;

// Problem: what share of the cloudless yield the panels gave on each past day.
// Trap: a controller that throttles because the bank is full or the cells are cold shows little power in full sun; counted as cloud it would darken
// the sky of the whole trip. Daily yield counters have that fault built in, so they are not used here.
// Method: compare power readings with the cloudless power of the same minutes. Those taken while the bank could take the power (below 95 % and below the charge at which the voltage limit tapers
// it, warm enough) tell the sky. A bank that is full by ten tells one morning: the day's ratio is that of the free readings, with the doubt of so many of the day's readings
// drawn without putting back, 0.15 √((1 - f/n)/f), and at least what all readings together gave. Without any free reading all together tell a lower bound ("at least that bright").
// W. Cochran, "Sampling Techniques", 3rd ed., equation 2.20; 0.15 as the spread of hours inside a day: own choice.
// Half of the level sunlight is much less than half on a tilted panel, because clouds take the direct light first: the ratio of powers is turned into a
// clear-sky index through the panel's own curve at index 0.5 and 1.
// A panel that gives nothing at all in daylight lies folded away, under snow or unplugged, or its controller has shut off: that tells nothing of the sky and is left out.
// Sun hours that a person typed stand in where no power is read.

/// <summary>Daily ratio of what the panels gave to what a cloudless sky would have given.</summary>
internal static class YieldRatios
{
    private const int LeastReadings = 4;
    private const double SpreadInsideDay = 0.15;
    private const double FullestFree = 0.95;

    /// <summary>A stated charge may be off: so far below the taper a reading still counts as free.</summary>
    private const double BelowTaper = 0.02;

    internal static List<DayYield> Of(BankKit bank, KitBook kit, SiteBook sites, ReadingBook readings)
    {
        IReadOnlyList<(Instant Time, BatteryReading Body)> battery = readings.Battery(bank.Bank, bank.Packs);
        double fullFrom = Math.Min(FullestFree, bank.TaperFrom() - BelowTaper);
        var got = new SortedDictionary<LocalDate, DaySum>();
        foreach (Panel panel in bank.Panels)
        {
            foreach ((Instant time, PanelReading body) in readings.Panel(panel.Id))
            {
                LocalDate day = time.WithOffset(kit.Zone).Date;
                DaySum sum = got.GetValueOrDefault(day);
                if (body.SunHours is { } hours)
                {
                    got[day] = sum with { SunHours = hours };
                }
                else if (Watts(body) is { } now && now > 0 && ClearWatts(bank, panel, kit, sites, time) is { } clear)
                {
                    got[day] = sum.With(now, clear.Full, clear.Half, Unthrottled(bank, battery, time, fullFrom));
                }
            }
        }

        var yields = new List<DayYield>();
        foreach ((LocalDate day, DaySum sum) in got)
        {
            int age = Period.DaysBetween(day, kit.Today);
            if (sum.Count >= LeastReadings)
            {
                yields.Add(Yield(sum, age));
            }
            else if (sum.SunHours is { } hours && age > 0)
            {
                Place place = kit.PlaceOf(bank.Bank.Team, day) ?? SiteBook.Nowhere;
                double light = Math.Max(1, sites.Day(place, day).DayLength.TotalHours - 2);
                yields.Add(new DayYield(Math.Clamp(hours / light, 0.05, 1), false, age));
            }
        }

        return yields;
    }

    private static DayYield Yield(DaySum sum, int age)
    {
        double least = Index(sum.Watts, sum.Clear, sum.Half);
        if (sum.FreeCount == 0)
        {
            return new DayYield(least, true, age);
        }

        double doubt = SpreadInsideDay * Math.Sqrt((1 - (sum.FreeCount / (double)sum.Count)) / sum.FreeCount);
        return new DayYield(Math.Max(least, Index(sum.FreeWatts, sum.FreeClear, sum.FreeHalf)), false, age, doubt);
    }

    // Power over the index is k (a + b k); a and b from the sums at 0.5 and 1.
    private static double Index(double watts, double full, double half)
    {
        double b = 2 * (full - (2 * half));
        double a = full - b;
        double index = Math.Abs(b) < 1e-6 * full ? watts / full : (Math.Sqrt(Math.Max(0, (a * a) + (4 * b * watts))) - a) / (2 * b);
        return Math.Clamp(index, 0.02, 1.6);
    }

    private readonly record struct DaySum(
        double Watts, double Clear, double Half, int Count, double FreeWatts, double FreeClear, double FreeHalf, int FreeCount, double? SunHours)
    {
        internal DaySum With(double watts, double full, double half, bool free) => this with
        {
            Watts = Watts + watts,
            Clear = Clear + full,
            Half = Half + half,
            Count = Count + 1,
            FreeWatts = FreeWatts + (free ? watts : 0),
            FreeClear = FreeClear + (free ? full : 0),
            FreeHalf = FreeHalf + (free ? half : 0),
            FreeCount = FreeCount + (free ? 1 : 0),
        };
    }

    private static double? Watts(PanelReading body) =>
        body.Watts?.Value ?? (body is { Volts: { } volts, Amperes: { } amperes } ? volts.Value * amperes.Value : null);

    private static bool Unthrottled(BankKit bank, IReadOnlyList<(Instant Time, BatteryReading Body)> battery, Instant time, double fullFrom)
    {
        int low = 0;
        int high = battery.Count;
        while (low < high)
        {
            int middle = (low + high) / 2;
            (low, high) = battery[middle].Time <= time ? (middle + 1, high) : (low, middle);
        }

        if (low == 0 || time - battery[low - 1].Time > Duration.FromMinutes(45))
        {
            return false;
        }

        BatteryReading body = battery[low - 1].Body;
        bool full = body.Charge is { } charge && charge.Value > fullFrom;
        bool cold = body.ColdestProbe is { } probe && bank.Limits.MaxRate(probe) * bank.CapacityWh < bank.PanelWatts * 0.9;
        return !full && !cold && body.Charge is not null;
    }

    // Power of one panel now under a cloudless sky and at index 0.5; null when it is too low to compare.
    private static (double Full, double Half)? ClearWatts(BankKit bank, Panel panel, KitBook kit, SiteBook sites, Instant time)
    {
        LocalDate day = time.WithOffset(kit.Zone).Date;
        Place? place = kit.PlaceOf(bank.Bank.Team, day);
        if (place is null || !sites.Covers(time))
        {
            return null;
        }

        double plane = sites.Of(place).On(time, 1, panel.Tilt, panel.Heading).Total.Value;
        return plane > 150 ? (Dc(panel, place, plane), Dc(panel, place, sites.Of(place).On(time, 0.5, panel.Tilt, panel.Heading).Total.Value)) : null;
    }

    private static double Dc(Panel panel, Place place, double plane)
    {
        double cell = place.DayTemperature.Value + (plane / 31.84);
        return PanelPower.Dc(new WattsPerSquareMetre(plane), new Celsius(cell), panel.Rated * panel.Derate, panel.TemperatureCoefficient).Value;
    }
}
