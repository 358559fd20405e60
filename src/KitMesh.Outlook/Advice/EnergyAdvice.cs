using KitMesh.Domain.Results;
using NodaTime;

namespace KitMesh.Outlook.Advice;

/// <summary>Advice from the energy outlook and tonight's charging: warm up, set panels out, ration, plug in.</summary>
internal static class EnergyAdvice
{
    public static IEnumerable<RankedAdvice> From(AdviceQuestion question)
    {
        IEnumerable<RankedAdvice> advice = question.Energy is { } energy ? energy.Banks.SelectMany(bank => Bank(energy, bank)) : [];
        return question.Charging is { } plan ? advice.Concat(Tonight(plan)) : advice;
    }

    private static IEnumerable<RankedAdvice> Bank(EnergyOutlook energy, BankOutlook bank)
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

        if (bank.Readiness.WarmUp is not null)
        {
            yield return new RankedAdvice(new Domain.Results.Advice(
                $"energy/warm/{bank.Bank}",
                AdviceCategory.Safety,
                $"do not charge {bank.Bank} yet: warm it first",
                bank.Readiness.Words,
                null,
                null,
                0.65,
                bank.Bank));
        }
    }

    private static IEnumerable<RankedAdvice> Tonight(ChargingPlan plan)
    {
        ChargingStep? first = plan.Steps.FirstOrDefault();
        if (first is null)
        {
            yield break;
        }

        string left = plan.LeftOut.Count(left => left.Reason != LeftOutReason.NotNeeded) is > 0 and int count ? $"; {count} devices are left out" : "";
        yield return new RankedAdvice(new Domain.Results.Advice(
            "charging/tonight",
            AdviceCategory.Charging,
            plan.Steps.Count == 1 ? first.Words : $"{first.Words}; then {plan.Steps.Count - 1} more, see tonight's charging",
            $"everything that matters is charged by {plan.Deadline}{left}",
            first.From,
            null,
            0.45,
            first.Load));
    }
}
