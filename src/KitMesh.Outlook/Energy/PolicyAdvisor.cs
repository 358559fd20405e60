using KitMesh.Domain.Quantities;
using KitMesh.Domain.Results;
using NodaTime;

namespace KitMesh.Outlook.Energy;

// Problem: carrying panels out every morning costs people time in the cold, also on days when the bank is full anyway; heating all night costs more than the sun may bring.
// Trap: judging days one by one: a day skipped today is missed three cloudy days later. Two runs with different random numbers differ by noise.
// Method: a rule that people can follow ("out while the bank is below s"), tried at eight levels on the same paths (common random numbers); the one with the least chance of
// running short plus people's hours times what an hour is worth (EnergySettings.ChancePerHour). The heater the same way: day and night, for the sun, never.
// Check: PolicyAdvisorTests.

/// <summary>Chooses when panels go out and when the heater runs.</summary>
internal static class PolicyAdvisor
{
    /// <summary>Levels that are tried; above 1 is every day.</summary>
    internal static readonly double[] Levels = [2, 0.95, 0.9, 0.8, 0.7, 0.6, 0.5, 0.4];

    internal static PanelPolicy? Panels(PathCase bank, Func<PathCase, PathDays> run, EnergySettings settings)
    {
        if (bank.PanelWatts <= 0 || !bank.Steps.HasPanels.Any(can => can))
        {
            return null;
        }

        double hours = settings.DeployTime.TotalHours;
        (double Level, PathDays Days)[] tried = [.. Levels.Select(level => (level, run(bank with { PanelsBelow = level })))];
        (double best, PathDays days) = tried.MinBy(one => one.Days.ShortByEnd + (one.Days.MeanDaysOut * hours * settings.ChancePerHour));
        double every = tried[0].Days.ShortByEnd;
        double never = run(bank with { PanelScale = 0 }).ShortByEnd;
        Duration time = Duration.FromHours(days.MeanDaysOut * hours);
        string rule = best > 1
            ? "Panels out on every day that they can stand"
            : FormattableString.Invariant($"Panels out only on mornings with the bank below {best * 100:0} %");
        string words = FormattableString.Invariant(
            $"{rule}: about {days.MeanDaysOut:0.0} of {bank.Steps.HasPanels.Count(can => can)} days and {time.TotalHours:0.0} h of people's time; chance of running short {days.ShortByEnd * 100:0.#} %, with every day {every * 100:0.#} %, with none {never * 100:0.#} %.");
        return new PanelPolicy(
            best > 1 ? null : new StateOfCharge(best), days.MeanDaysOut, time, new(days.ShortByEnd), new(every), new(never), words);
    }

    internal static HeaterChoice? Heater(Func<HeaterPolicy, PathCase> caseOf, Func<PathCase, PathDays> run)
    {
        PathCase first = caseOf(HeaterPolicy.Always);
        if (first.HeaterWatts <= 0)
        {
            return null;
        }

        PathDays always = run(first);
        PathDays forTheSun = run(caseOf(HeaterPolicy.ForTheSun));
        PathDays off = run(caseOf(HeaterPolicy.Off));
        (string Name, PathDays Days)[] ways = [("always", always), ("for the sun", forTheSun), ("off", off)];
        (string best, _) = ways.OrderBy(way => Math.Round(way.Days.ShortByEnd, 3)).ThenBy(way => Heat(way.Days)).First();
        string words = FormattableString.Invariant(
            $"Heater {best}: chance of running short {always.ShortByEnd * 100:0.#} % with it on its thermostat day and night ({Heat(always):0} Wh a day), {forTheSun.ShortByEnd * 100:0.#} % only for the sun ({Heat(forTheSun):0} Wh), {off.ShortByEnd * 100:0.#} % never. {SafetyWords.Heat}");
        return new HeaterChoice(new(always.ShortByEnd), new(forTheSun.ShortByEnd), new(off.ShortByEnd), best, words);
    }

    private static double Heat(PathDays days) => days.Heater.Average(day => day.Mean());
}
