using KitMesh.Domain;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Results;
using KitMesh.Models.Panel;
using NodaTime;

namespace KitMesh.Outlook.Energy;

/// <summary>Puts one bank's outlook together.</summary>
internal static class BankAnswer
{
    internal static BankOutlook Of(BankCases cases, KitBook kit, SiteBook sites, ReadingBook readings, EnergyQuestion question, List<EnergyAssumption> assumptions)
    {
        BankKit bank = cases.Bank;
        int paths = Math.Max(PathEngine.Lanes, (question.Paths + PathEngine.Lanes - 1) / PathEngine.Lanes * PathEngine.Lanes);
        var whatIfs = new WhatIfs(cases, question.Seed, paths);
        PanelPolicy? policy = whatIfs.Panels();
        PathDays days = PathEngine.Run(cases.Fine(cases.Beliefs.Heater) with { PanelsBelow = policy?.Below?.Value ?? 2 }, question.Seed, paths);
        PathDays good = whatIfs.Good;
        PathDays bad = whatIfs.Bad;
        PathDays forTheSun = whatIfs.ForTheSun();
        ValueList<PanelDay> panels = PanelAdvisor.Of(cases, kit, sites, forTheSun);
        string assuming = Assuming(cases, paths, policy);
        double spendable = Spendable(cases);
        ValueList<ChanceRange> chances = Chances(days, good, bad, assuming, SunlessDays(cases, kit));
        if (bank.PanelWatts > 0 && chances[^1].Best.Value > 0)
        {
            assumptions.Add(new EnergyAssumption(
                bank.Bank.Id,
                "a bank that ran empty comes back when its panels have warmed and charged it",
                "many protection boards shut off first and want a charger's volts to wake them: the maker's sheet tells whether yours does by itself",
                false));
        }

        return new BankOutlook(
            bank.Bank.Id,
            bank.Bank.Team,
            Estimate(cases.Start),
            new WattHours(bank.CapacityWh),
            new WattHours(spendable),
            new WattHours(cases.LifeReserveWh),
            Days(cases, kit, days, chances),
            chances[^1],
            Autonomy(whatIfs.WithoutSun()),
            panels,
            panels.FirstOrDefault(day => day.Pays)?.Day,
            ReadinessAdvisor.Of(cases, kit, sites, question.Now, panels),
            whatIfs.Influences(),
            WorkBudget.Of(cases, kit, readings, whatIfs.SustainableWh()),
            whatIfs.Rations(),
            assumptions.ToValueList(),
            Cautions(cases),
            policy,
            whatIfs.Heater());
    }

    // Above the reserve, at the present temperature and the evening's load, never below what the cold keeps.
    private static double Spendable(BankCases cases)
    {
        BankKit bank = cases.Bank;
        var power = new Watts(Math.Max(1, (cases.LifeWh + cases.WorkWh) * 0.16));
        Celsius cell = cases.Start.Coldest ?? new Celsius(Math.Min(0, cases.Place.NightTemperature.Value));
        double low = Math.Max(0, cases.Start.Charge - (1.28 * cases.Start.ChargeSd));
        double left = Math.Max(cases.LifeReserveWh / bank.CapacityWh, bank.Model.Usable(new StateOfCharge(1), power, cell).LeftAt.Value);
        return Math.Max(0, low - left) * bank.CapacityWh;
    }

    private static ChargeEstimate Estimate(StartState start) => new(
        new(Math.Clamp(start.Charge - (1.28 * start.ChargeSd), 0, 1)),
        new(start.Charge),
        new(Math.Clamp(start.Charge + (1.28 * start.ChargeSd), 0, 1)),
        start.From,
        start.MeasuredAt);

    // Days at places that are not known, with panels: the sun that nobody can count on may still come.
    private static Func<int, bool> SunlessDays(BankCases cases, KitBook kit)
    {
        int first = Enumerable.Range(0, kit.Days).FirstOrDefault(day => kit.PlaceOf(cases.Bank.Bank.Team, kit.Today.PlusDays(day)) is null, int.MaxValue);
        return day => cases.Bank.PanelWatts > 0 && day >= first;
    }

    private static ValueList<ChanceRange> Chances(PathDays days, PathDays good, PathDays bad, string assuming, Func<int, bool> sunUnknown)
    {
        double fromKnown = 0;
        var chances = new List<ChanceRange>();
        double best = 0;
        double low = 0;
        double high = 0;
        for (int day = 0; day < days.FirstShort.Length; day++)
        {
            best += days.FirstShort[day] / (double)days.Paths;
            low += good.FirstShort[day] / (double)good.Paths;
            high += bad.FirstShort[day] / (double)bad.Paths;
            fromKnown = sunUnknown(day) ? fromKnown : low;
            chances.Add(new ChanceRange(At(Math.Min(Math.Min(low, fromKnown), best)), At(best), At(Math.Max(high, best)), assuming));
        }

        return chances.ToValueList();
    }

    private static ValueList<OutlookDay> Days(BankCases cases, KitBook kit, PathDays days, ValueList<ChanceRange> chances)
    {
        var list = new List<OutlookDay>();
        for (int day = 0; day < chances.Count; day++)
        {
            LocalDate date = kit.Today.PlusDays(day);
            list.Add(new OutlookDay(
                date,
                kit.KindOf(cases.Bank.Bank.Team, date),
                Spread(days.Lowest[day]),
                Spread(days.AtEnd[day]),
                chances[day],
                At(days.Short[day] / (double)days.Paths),
                PanelAdvisor.Spread(days.Harvest[day]),
                PanelAdvisor.Spread(days.Wasted[day]),
                PanelAdvisor.Spread(days.Loads[day]),
                PanelAdvisor.Spread(days.Heater[day])));
        }

        return list.ToValueList();
    }

    private static DurationSpread Autonomy(PathDays dark)
    {
        int[] steps = [.. dark.FirstShortStep.Order()];
        int last = dark.Lowest.Length * 24;
        Duration At(double share)
        {
            int step = steps[(int)(share * (steps.Length - 1))];
            return Duration.FromHours(Math.Min(step, last));
        }

        return new DurationSpread(At(0.1), At(0.5), At(0.9), steps[(int)(0.9 * (steps.Length - 1))] == int.MaxValue);
    }

    private static ChargeSpread Spread(Histogram counts) => new(
        new(counts.Quantile(0.05)), new(counts.Quantile(0.10)), new(counts.Quantile(0.25)), new(counts.Quantile(0.50)),
        new(counts.Quantile(0.75)), new(counts.Quantile(0.90)), new(counts.Quantile(0.95)));

    private static string Assuming(BankCases cases, int paths, PanelPolicy? policy)
    {
        BankBeliefs beliefs = cases.Beliefs;
        int learnt = beliefs.Loads.Values.Count(load => load.Days > 0);
        string heater = beliefs.Heater switch
        {
            HeaterPolicy.Always => "heater on its thermostat day and night",
            HeaterPolicy.ForTheSun => "heater only ahead of the sun",
            _ => "no heater",
        };
        return FormattableString.Invariant(
            $"panels out on every camp and rest day{(policy?.Below is { } below ? $" with the bank below {below.Value * 100:0} %" : "")}, {heater}; {learnt} of {beliefs.Loads.Count} loads and {beliefs.Yield.Days} days of sky learnt from readings; low and high move every doubt by one standard deviation at once; {paths} paths");
    }

    private static ValueList<string> Cautions(BankCases cases)
    {
        var words = new List<string> { SafetyWords.Packs };
        foreach (Panel panel in cases.Bank.Panels)
        {
            if (panel.OpenCircuit is { } open && cases.Bank.Bank.MaxPanelVolts is { } most)
            {
                Volts cold = PanelPower.OpenCircuit(open, cases.Place.NightTemperature);
                if (cold > most)
                {
                    words.Add(FormattableString.Invariant(
                        $"{panel.Id}: {cold.Value:0.0} V open-circuit at {cases.Place.NightTemperature.Value:0} °C is above the controller's {most.Value:0.0} V: do not connect it in the cold; the maker's sheet decides."));
                }
            }
        }

        if (cases.Bank.Packs.Count > 1)
        {
            words.Add("Packs in parallel: join only at equal rested volts; the odd one out takes the current of all the others (kitmesh calc parallel).");
        }

        return words.ToValueList();
    }

    private static Probability At(double chance) => new(Math.Clamp(chance, 0, 1));
}
