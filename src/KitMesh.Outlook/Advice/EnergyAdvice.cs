using KitMesh.Domain.Results;
using KitMesh.Domain.Time;
using NodaTime;

namespace KitMesh.Outlook.Advice;

/// <summary>Advice from the energy outlook and tonight's charging: warm up, set panels out, ration, plug in.</summary>
internal static class EnergyAdvice
{
    /// <summary>Devices named in a headline before the rest is only counted.</summary>
    private const int MostNamed = 3;

    public static IEnumerable<RankedAdvice> From(AdviceQuestion question)
    {
        IEnumerable<RankedAdvice> advice = question.Energy is { } energy ? energy.Banks.SelectMany(bank => Bank(energy, bank, question.Zone)) : [];
        return question.Charging is { } plan ? advice.Concat(Tonight(plan, question.Zone)) : advice;
    }

    private static IEnumerable<RankedAdvice> Bank(EnergyOutlook energy, BankOutlook bank, Offset zone)
    {
        double chance = bank.ShortByLastDay.Best.Value;
        if (bank.PanelOutDay is { } day && bank.Panels.FirstOrDefault(panel => panel.Day == day) is { } panel)
        {
            yield return new RankedAdvice(new Domain.Results.Advice(
                $"energy/panels/{bank.Bank}",
                AdviceCategory.Energy,
                $"set the panels of {bank.Bank} out on {day:uuuu'-'MM'-'dd}",
                panel.Words,
                null,
                $"{panel.Net.P50.Value:0} Wh net of the heater",
                0.3 + (0.4 * chance),
                bank.Bank));
        }

        if (chance >= AdviceLimits.EnergyShort && bank.Rations.FirstOrDefault() is { } ration)
        {
            yield return new RankedAdvice(new Domain.Results.Advice(
                $"energy/ration/{bank.Bank}",
                AdviceCategory.Energy,
                $"stop {ration.Load} first if the sun does not come",
                $"{bank.Bank} runs short by {energy.LastDay:uuuu'-'MM'-'dd}: {Odds.InWords(bank.ShortByLastDay)}",
                null,
                $"{ration.SavesPerDay.Value:0} Wh a day; then {Odds.InWords(ration.ShortAfter)}",
                0.3 + (0.5 * chance),
                ration.Load));
        }

        if (bank.Heater is { } heater && heater.Best != "always" && heater.Always.Value - Math.Min(heater.ForTheSun.Value, heater.Off.Value) >= 0.02)
        {
            yield return new RankedAdvice(new Domain.Results.Advice(
                $"energy/heater/{bank.Bank}",
                AdviceCategory.Energy,
                heater.Best == "off" ? $"leave the heater of {bank.Bank} off" : $"run the heater of {bank.Bank} only ahead of the sun",
                heater.Words,
                null,
                $"{Odds.InWords(heater.Always)} becomes {Odds.InWords(heater.Best == "off" ? heater.Off : heater.ForTheSun)}",
                0.3 + (0.4 * heater.Always.Value),
                bank.Bank));
        }

        if (bank.Readiness.WarmUp is { } warm)
        {
            yield return new RankedAdvice(new Domain.Results.Advice(
                $"energy/warm/{bank.Bank}",
                AdviceCategory.Safety,
                warm.SwitchOn is { } on
                    ? $"do not charge {bank.Bank} yet: switch its heater on at {CrewTime.Show(on, zone)}{(warm.WarmAt is { } ready ? $", warm by {CrewTime.Show(ready, zone)}" : "")}"
                    : $"do not charge {bank.Bank} yet: warm it first",
                bank.Readiness.Words,
                warm.SwitchOn,
                null,
                0.65,
                bank.Bank));
        }
    }

    private static IEnumerable<RankedAdvice> Tonight(ChargingPlan plan, Offset zone)
    {
        if (plan.Steps.FirstOrDefault() is not { } first)
        {
            yield break;
        }

        string[] cold = [.. plan.Steps.Where(step => step.Kind == ChargingStepKind.Warm).Select(step => step.Load.Value)];
        ChargingStep? plug = plan.Steps.FirstOrDefault(step => step.Kind == ChargingStepKind.Charge);
        int charged = plan.Steps.Where(step => step.Kind == ChargingStepKind.Charge).Select(step => step.Load).Distinct().Count();
        int left = plan.LeftOut.Count(one => one.Reason != LeftOutReason.NotNeeded);
        string what = cold.Length > 0
            ? $"warm the batteries of {ChargingWords.Names(cold, MostNamed)} to charge them tonight"
            : $"plug {first.Load} into {first.Outlet}";
        string next = cold.Length > 0 && plug is not null ? $"{plug.Load} goes first, at {CrewTime.Show(plug.From, zone)}; " : "";
        yield return new RankedAdvice(new Domain.Results.Advice(
            "charging/tonight",
            AdviceCategory.Charging,
            what,
            $"{next}{Count(charged, "device")} charged by {CrewTime.ShowWithZone(plan.Deadline, zone)}{(left > 0 ? $", {left} left out or in part" : "")}: see tonight's charging",
            first.From,
            null,
            0.45,
            first.Load));
    }

    private static string Count(int count, string noun) => $"{count} {noun}{(count == 1 ? "" : "s")}";
}
