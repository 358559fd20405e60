using KitMesh.Domain.Kit;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Results;
using KitMesh.Models.Panel;
using KitMesh.Models.Sun;
using NodaTime;

namespace KitMesh.Outlook.Energy;

// Problem: turn calendar, sun, seasons and load habits into one row of numbers a step.
// Method: panel power at clear-sky index 0.5 and 1 gives the two coefficients of k (a + b k); the mean of the step is taken at its middle.
// Loads come by the hour as learnt (LoadHours).

/// <summary>Builds the table of steps for one bank.</summary>
internal sealed class StepBuilder(KitBook kit, SiteBook sites, BankKit bank, Instant now, int stepsPerDay)
{
    /// <summary>Share of a rest day's loads that still run. Own choice; "little is used".</summary>
    private const double RestDayShare = 0.6;

    /// <summary>Share of a travel day's work and comfort loads. Own choice.</summary>
    private const double TravelDayShare = 0.5;

    internal StepTable Build(HeaterPolicy heater, IReadOnlyDictionary<(Domain.Reports.KitId Place, LocalDate Day), SkyForecast> forecast, SkyCurve sky, double[] workWhByHour, double[] lifeWhByHour)
    {
        Duration step = Duration.FromHours(24.0 / stepsPerDay);
        Instant tomorrow = kit.StartOf(kit.Today.PlusDays(1));
        int firstDay = Math.Clamp((int)Math.Round((tomorrow - now) / step), 1, stepsPerDay);
        var table = new StepTable(kit.Days, stepsPerDay, firstDay);
        int index = 0;
        for (int day = 0; day < kit.Days; day++)
        {
            LocalDate date = kit.Today.PlusDays(day);
            Place place = kit.PlaceOf(bank.Bank.Team, date) ?? SiteBook.Nowhere;
            DayKind kind = kit.KindOf(bank.Bank.Team, date);
            SunDay sun = sites.Day(place, date);
            PanelWindow window = sites.Window(kit, bank.Bank.Team, date);
            table.HasPanels[day] = window.CanStand && bank.Panels.Count > 0;
            Instant heatFrom = window.From - PreHeat(place);
            Instant dayStart = kit.StartOf(date.PlusDays(1)) - (step * (table.DayEnd[day] - index));
            double share = kind switch { DayKind.Rest => RestDayShare, DayKind.Travel => TravelDayShare, _ => 1 };
            Forecast(table, day, forecast.GetValueOrDefault((place.Id, date)), place, sky);
            for (Instant t = dayStart; index < table.DayEnd[day]; index++, t += step)
            {
                Instant middle = t + (step / 2);
                int hour = Math.Clamp((int)(middle - kit.StartOf(date)).TotalHours, 0, 23);
                Air(table, index, place, sun, middle);
                table.LoadWatts[index] = lifeWhByHour[hour] + (share * workWhByHour[hour]);
                table.Afternoon[index] = middle < sun.Transit ? -1 : 1;
                table.HeaterAllowed[index] = heater switch
                {
                    HeaterPolicy.Always => 1,
                    HeaterPolicy.ForTheSun => window.CanStand && middle >= heatFrom && middle < window.Until ? 1 : 0,
                    _ => 0,
                };
                if (window.Holds(middle))
                {
                    Panels(table, index, place, middle);
                }
            }
        }

        return table;
    }

    /// <summary>How long before the sun the heater starts: what it takes from the night's temperature to the lower charge limit, from one to five hours.</summary>
    internal Duration PreHeat(Place place)
    {
        if (bank.Box is not { Heater.Value: > 0 } box)
        {
            return Duration.Zero;
        }

        var start = new Celsius(place.NightTemperature.Value + 8);
        Duration? time = bank.Thermal.WarmUp(box.Heater, place.NightTemperature, start, bank.Limits.Lower + new Kelvins(2)).Time;
        return Duration.FromHours(Math.Clamp(time?.TotalHours ?? 5, 1, 5));
    }

    private void Panels(StepTable table, int index, Place place, Instant middle)
    {
        PanelSite site = sites.Of(place);
        double half = 0;
        double full = 0;
        foreach (Panel panel in bank.Panels)
        {
            double watts = panel.Rated.Value * panel.Derate / 1000;
            half += watts * site.On(middle, 0.5, panel.Tilt, panel.Heading).Total.Value;
            full += watts * site.On(middle, 1, panel.Tilt, panel.Heading).Total.Value;
        }

        table.PanelSquare[index] = 2 * (full - (2 * half));
        table.PanelLinear[index] = full - table.PanelSquare[index];
    }

    // Coldest shortly before sunrise, warmest two hours and a half past noon; the swing is that of a clear day. Common practice, no published source.
    private static void Air(StepTable table, int index, Place place, SunDay sun, Instant middle)
    {
        double solar = 12 + (middle - sun.Transit).TotalHours;
        double swing = (place.DayTemperature.Value - place.NightTemperature.Value) / 2;
        table.AirMeanC[index] = (place.DayTemperature.Value + place.NightTemperature.Value) / 2;
        table.AirSwingK[index] = swing * Math.Cos((solar - 14.5) * Math.PI / 12);
    }

    private static void Forecast(StepTable table, int day, SkyForecast? typed, Place place, SkyCurve sky)
    {
        if (typed is null || !(typed.Trust > 0))
        {
            return;
        }

        table.ForecastTrust[day] = Math.Min(1, typed.Trust);
        table.ForecastZ[day] = sky.Position(typed.ClearSkyShare);
        double mean = (place.DayTemperature.Value + place.NightTemperature.Value) / 2;
        double told = ((typed.DayTime ?? place.DayTemperature).Value + (typed.Night ?? place.NightTemperature).Value) / 2;
        table.ForecastAirK[day] = told - mean;
    }
}
