using KitMesh.Domain;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using KitMesh.Models.Panel;
using NodaTime;

namespace KitMesh.Outlook.Energy;

/// <summary>What setting the panels out brings on each day, net of the heat that the cells need for it.</summary>
internal static class PanelAdvisor
{
    /// <summary>Energy that setting panels out and bringing them in must bring at least. Own choice: the worth of a quarter of an hour in the cold.</summary>
    internal const double LeastGainWh = 20;

    internal static ValueList<PanelDay> Of(BankCases cases, KitBook kit, SiteBook sites, PathDays forTheSun)
    {
        BankKit bank = cases.Bank;
        if (bank.Panels.Count == 0)
        {
            return ValueList<PanelDay>.Empty;
        }

        var stands = new Dictionary<(KitId Place, int Week), OrientationAdvice>();
        var days = new List<PanelDay>(kit.Days);
        for (int day = 0; day < kit.Days; day++)
        {
            LocalDate date = kit.Today.PlusDays(day);
            Place place = kit.PlaceOf(bank.Bank.Team, date) ?? SiteBook.Nowhere;
            DayKind kind = kit.KindOf(bank.Bank.Team, date);
            PanelWindow window = sites.Window(kit, bank.Bank.Team, date);
            OrientationAdvice stand = default;

            // The best stand moves by a degree or two in five days: worth a search then, not every day.
            if (window.CanStand && !stands.TryGetValue((place.Id, day / 5), out stand))
            {
                stand = sites.Of(place).Best(window.From, window.Until, Math.Min(1, place.ClearSkyShare));
                stands.Add((place.Id, day / 5), stand);
            }

            days.Add(One(date, kind, window, stand, forTheSun, day));
        }

        return days.ToValueList();
    }

    internal static EnergySpread Spread(Histogram counts) =>
        new(new(counts.Quantile(0.1)), new(counts.Quantile(0.5)), new(counts.Quantile(0.9)));

    private static PanelDay One(LocalDate date, DayKind kind, PanelWindow window, OrientationAdvice stand, PathDays days, int day)
    {
        EnergySpread gross = Spread(days.Harvest[day]);
        EnergySpread cost = Spread(days.Heater[day]);
        EnergySpread net = Spread(days.Net[day]);
        double chance = days.Net[day].ShareAbove(LeastGainWh);
        bool pays = window.CanStand && net.P50.Value > LeastGainWh && chance >= 0.5;
        string words = !window.CanStand
            ? kind is DayKind.Travel or DayKind.Storm ? $"panels stay down: {kind.ToString().ToLowerInvariant()} day" : "panels stay down: no sun or nobody there"
            : FormattableString.Invariant(
                $"{net.P50.Value:0} Wh net ({net.P10.Value:0} to {net.P90.Value:0}) after {cost.P50.Value:0} Wh of heat; best at {stand.Tilt.Value:0}° towards {stand.Heading.Value:0}°, flat costs {stand.FlatCosts * 100:0} %");
        return new PanelDay(date, window.CanStand, gross, cost, net, new Probability(chance), pays, stand.Tilt, stand.Heading, stand.FlatCosts, words);
    }
}
