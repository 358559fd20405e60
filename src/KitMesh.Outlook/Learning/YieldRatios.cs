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
// Method: compare power readings with the cloudless power of the same minutes, and only those taken while the bank was below 90 % and warm enough to charge.
// Sun hours that a person typed stand in where no power is read.

/// <summary>Daily ratio of what the panels gave to what a cloudless sky would have given.</summary>
internal static class YieldRatios
{
    private const int LeastReadings = 4;

    internal static List<(double Ratio, int AgeDays)> Of(BankKit bank, KitBook kit, SiteBook sites, ReadingBook readings)
    {
        IReadOnlyList<(Instant Time, BatteryReading Body)> battery = readings.Battery(bank.Bank, bank.Packs);
        var got = new SortedDictionary<LocalDate, (double Watts, double Clear, int Count, double? SunHours)>();
        foreach (Panel panel in bank.Panels)
        {
            foreach ((Instant time, PanelReading body) in readings.Panel(panel.Id))
            {
                LocalDate day = time.WithOffset(kit.Zone).Date;
                (double watts, double clear, int count, double? sunHours) = got.GetValueOrDefault(day);
                if (body.SunHours is { } hours)
                {
                    got[day] = (watts, clear, count, hours);
                }
                else if (Watts(body) is { } now && Unthrottled(bank, battery, time) && ClearWatts(bank, panel, kit, sites, time) is { } full)
                {
                    got[day] = (watts + now, clear + full, count + 1, sunHours);
                }
            }
        }

        var ratios = new List<(double, int)>();
        foreach ((LocalDate day, (double watts, double clear, int count, double? sunHours)) in got)
        {
            int age = Period.DaysBetween(day, kit.Today);
            if (count >= LeastReadings && clear > 0)
            {
                ratios.Add((Math.Clamp(watts / clear, 0.02, 1.6), age));
            }
            else if (sunHours is { } hours && age > 0)
            {
                Place place = kit.PlaceOf(bank.Bank.Team, day) ?? SiteBook.Nowhere;
                double light = Math.Max(1, sites.Day(place, day).DayLength.TotalHours - 2);
                ratios.Add((Math.Clamp(hours / light, 0.05, 1), age));
            }
        }

        return ratios;
    }

    private static double? Watts(PanelReading body) =>
        body.Watts?.Value ?? (body is { Volts: { } volts, Amperes: { } amperes } ? volts.Value * amperes.Value : null);

    private static bool Unthrottled(BankKit bank, IReadOnlyList<(Instant Time, BatteryReading Body)> battery, Instant time)
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
        bool full = body.Charge is { } charge && charge.Value > 0.9;
        bool cold = body.ColdestProbe is { } probe && bank.Limits.MaxRate(probe) * bank.CapacityWh < bank.PanelWatts * 0.9;
        return !full && !cold && body.Charge is not null;
    }

    // Power of one panel under a cloudless sky now; null when it is too low to compare.
    private static double? ClearWatts(BankKit bank, Panel panel, KitBook kit, SiteBook sites, Instant time)
    {
        LocalDate day = time.WithOffset(kit.Zone).Date;
        Place? place = kit.PlaceOf(bank.Bank.Team, day);
        if (place is null || !sites.Covers(time))
        {
            return null;
        }

        double plane = sites.Of(place).On(time, 1, panel.Tilt, panel.Heading).Total.Value;
        double cell = ((place.DayTemperature.Value + place.NightTemperature.Value) / 2) + (plane / 31.84);
        double watts = PanelPower.Dc(new WattsPerSquareMetre(plane), new Celsius(cell), panel.Rated * panel.Derate, panel.TemperatureCoefficient).Value;
        return plane > 150 ? watts : null;
    }
}
