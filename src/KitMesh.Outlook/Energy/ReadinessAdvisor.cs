using System.Globalization;
using KitMesh.Domain;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Results;
using KitMesh.Models.Box;
using NodaTime;

namespace KitMesh.Outlook.Energy;

// Problem: may it charge now, with how much, and if not, how to get there.
// Trap: without a temperature every "charge now" is a guess that can ruin the pack; "warm enough" at 4 °C still allows a tenth of the current only.
// Method: the zone of the coldest believable probe; below it a warm-up plan from the box model, timed to end as the sun comes; without a probe only the plan.

/// <summary>Whether a bank may take charge now, and the warm-up plan when it may not.</summary>
internal static class ReadinessAdvisor
{
    internal static ChargeReadiness Of(BankCases cases, KitBook kit, SiteBook sites, Instant now, ValueList<PanelDay> panels)
    {
        BankKit bank = cases.Bank;
        Celsius lower = bank.Limits.Lower;
        if (cases.Start.Coldest is not { } coldest || cases.Start.Warmest is not { } warmest)
        {
            var assumed = new Celsius(Math.Min(cases.Place.NightTemperature.Value, lower.Value - 1));
            WarmUpPlan plan = Plan(cases, kit, sites, now, assumed, panels);
            return new ChargeReadiness(
                ChargeReadinessState.NoTemperature, null, lower, new(0), plan,
                $"No believable temperature of the cells: do not charge yet. Measure first. {plan.Words} {SafetyWords.Packs}");
        }

        Amperes most = bank.Limits.MaxCurrent(coldest, warmest, bank.Model.Pack.Capacity);
        if (warmest > bank.Limits.Upper)
        {
            return new ChargeReadiness(
                ChargeReadinessState.TooHot, coldest, lower, new(0), null,
                Say($"The warmest probe reads {warmest.Value:0.0} °C, the limit is {bank.Limits.Upper.Value:0} °C: do not charge, let it cool. {SafetyWords.Packs}"));
        }

        if (most.Value <= 0)
        {
            WarmUpPlan plan = Plan(cases, kit, sites, now, coldest, panels);
            return new ChargeReadiness(
                ChargeReadinessState.WarmFirst, coldest, lower, new(0), plan,
                Say($"The coldest probe reads {coldest.Value:0.0} °C, no charge below {lower.Value:0} °C. {plan.Words} {SafetyWords.Packs}"));
        }

        double full = bank.Limits.Zones.Max(zone => zone.MaxRate);
        bool slow = bank.Limits.MaxRate(coldest) < full;
        return new ChargeReadiness(
            slow ? ChargeReadinessState.SlowOnly : ChargeReadinessState.Ready, coldest, lower, most, null,
            Say($"The coldest probe reads {coldest.Value:0.0} °C: at most {most.Value:0.0} A{(slow ? ", not the full current" : "")} ({bank.Limits.Source})."));
    }

    private static WarmUpPlan Plan(BankCases cases, KitBook kit, SiteBook sites, Instant now, Celsius from, ValueList<PanelDay> panels)
    {
        BankKit bank = cases.Bank;
        BoxModel box = cases.Beliefs.Box.Model;
        Celsius to = bank.Limits.Lower + new Kelvins(2);
        Watts heater = bank.Box?.Heater ?? new Watts(0);
        (Instant? sun, LocalDate day) = NextSun(cases, kit, sites, now);
        PanelDay? sunny = panels.FirstOrDefault(panel => panel.Day == day);
        double gainOfSunWh = sunny?.Gross.P50.Value ?? 0;
        Celsius outside = cases.Place.NightTemperature;
        WarmUp warm = box.WarmUp(heater, outside, from, to);
        double litres = BoxModel.BottleLitres(new WattHours(box.Capacity.Value * Math.Max(0, to.Value - from.Value) / 3600));
        string bottle = Say($"About {litres:0.0} l of water at 90 °C in closed bottles brings the same heat; a tent at noon or a sleeping bag also does.");
        if (heater.Value <= 0)
        {
            return new WarmUpPlan(false, from, to, heater, null, null, null, litres, null, Say($"No heater: warm it from {from.Value:0} to {to.Value:0} °C. {bottle} {SafetyWords.Heat}"));
        }

        if (!warm.Reachable)
        {
            return new WarmUpPlan(
                false, from, to, heater, null, null, null, litres, null,
                Say($"The heater ({heater.Value:0} W) cannot get there: at {outside.Value:0} °C outside it ends at {warm.Equilibrium.Value:0} °C. Better insulation or other heat is needed. {bottle} {SafetyWords.Heat}"));
        }

        Duration span = warm.Time!.Value;
        Instant on = sun is { } s && s - span > now ? s - span : now;
        double cost = warm.Energy!.Value.Value;

        // Warm cells must also be kept warm while the sun charges them: the heat of the whole day counts.
        double heat = Math.Max(cost, sunny?.HeaterCost.P50.Value ?? 0);
        bool pays = gainOfSunWh > heat;
        string when = on.WithOffset(kit.Zone).TimeOfDay.ToString("HH:mm", CultureInfo.InvariantCulture);
        return new WarmUpPlan(
            true, from, to, heater, on, on + span, warm.Energy, litres, pays,
            Say($"Heater on at {when} for {span.TotalHours:0.0} h ({cost:0} Wh) brings it from {from.Value:0} to {to.Value:0} °C; the day takes about {heat:0} Wh of heat in all and its sun is expected to bring {gainOfSunWh:0} Wh, so it {(pays ? "pays" : "does not pay")}. {bottle} {SafetyWords.Heat}"));
    }

    private static (Instant? From, LocalDate Day) NextSun(BankCases cases, KitBook kit, SiteBook sites, Instant now)
    {
        for (int day = 0; day < Math.Min(kit.Days, 3); day++)
        {
            LocalDate date = kit.Today.PlusDays(day);
            PanelWindow window = sites.Window(kit, cases.Bank.Bank.Team, date);
            if (window.CanStand && window.From > now)
            {
                return (window.From, date);
            }
        }

        return (null, kit.Today);
    }

    private static string Say(FormattableString text) => FormattableString.Invariant(text);
}
