using KitMesh.Domain;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Planning;
using KitMesh.Domain.Reports;
using KitMesh.Outlook.Debrief;

namespace KitMesh.Export.Account;

// What to change next time. Every line carries the number that says so; without enough evidence there is no line. The thresholds (a tenth, a quarter, three
// days) are our own choice.

/// <summary>Finds what to change next time, dangers first.</summary>
internal static class ChangesNext
{
    private const int LeastDays = 3;

    internal static IEnumerable<ChangeNext> Of(TripAccount account, KitItem[] kit) =>
        Cold(account).Concat(Short(account)).Concat(Media(account)).Concat(Loads(account)).Concat(Learnt(account)).Concat(Footage(account, kit)).Concat(Agents(account));

    private static IEnumerable<ChangeNext> Cold(TripAccount account)
    {
        foreach (ColdCharge pack in account.Energy.Cold.Where(pack => pack.Charge.Value > 0.05))
        {
            yield return new ChangeNext(
                pack.Pack.Value,
                "was charged under its limit: warm it before the panels go out, or give it a heater or a warmer place; ask its maker whether it may still be used",
                Text($"{pack.Charge.Value:0.0} Ah in {pack.Hours:0.0} h under {pack.Limit.Value:0.#} °C, coldest {pack.Coldest?.Value:0.0} °C"));
        }

        foreach (ColdCharge pack in account.Energy.Cold.Where(pack => pack.UnwatchedHours >= 1))
        {
            yield return new ChangeNext(pack.Pack.Value, "was charged with no thermometer on its cells: fix a probe to the coldest one", Text($"{pack.UnwatchedHours:0.0} h unwatched"));
        }
    }

    private static IEnumerable<ChangeNext> Short(TripAccount account)
    {
        foreach (BankDebrief bank in account.Energy.Banks)
        {
            BankDay[] told = [.. bank.Days.Where(day => day.Lowest is not null)];
            if (told.Length == 0)
            {
                continue;
            }

            double lowest = told.Min(day => day.Lowest!.Value.Value);
            int below = told.Count(day => day.Lowest!.Value.Value < bank.Reserve.Value);
            if (below > 0)
            {
                yield return new ChangeNext(
                    bank.Bank.Value,
                    "fell under its reserve: more panel, more pack or less load",
                    Text($"{below} of {told.Length} days under {bank.Reserve.Value * 100:0} %, lowest {lowest * 100:0} %: {(bank.Reserve.Value - lowest) * bank.Capacity.Value:0} Wh short"));
            }
            else if (told.Length >= LeastDays && lowest > 0.5)
            {
                yield return new ChangeNext(
                    bank.Bank.Value,
                    "never fell to its half: let kitmesh plan --lightest look for a lighter one",
                    Text($"lowest {lowest * 100:0} % in {told.Length} days: {(lowest - bank.Reserve.Value) * bank.Capacity.Value:0} Wh above its reserve never used"));
            }
        }
    }

    private static IEnumerable<ChangeNext> Media(TripAccount account)
    {
        foreach (var drive in account.FailedCopies.Where(line => line.Drive is not null).GroupBy(line => line.Drive!.Value).OrderBy(group => group.Key))
        {
            yield return new ChangeNext(drive.Key.Value, "copies to it failed: bench it, and do not take it again before it is sound", Text($"{drive.Count()} failed copies"));
        }

        int lacking = account.Safety.Sum(day => day.Clips - day.ClipsMet);
        if (lacking > 0)
        {
            yield return new ChangeNext("footage", "does not meet its copy rule yet: copy it before anything is formatted", Text($"{lacking} of {account.Safety.Sum(day => day.Clips)} clips"));
        }
    }

    private static IEnumerable<ChangeNext> Loads(TripAccount account)
    {
        foreach (LoadDebrief load in account.Energy.Loads)
        {
            if (load is { PerDay: { } perDay, WholeDays: >= LeastDays } && Differs(perDay.Value, load.Declared.Value, 0.1))
            {
                yield return new ChangeNext(load.Load.Value, Text($"write perDay: {perDay.Value:0} Wh into the trip file"), Text($"{perDay.Value:0.0} Wh a day over {load.WholeDays} whole days; the file says {load.Declared.Value:0.#}"));
            }

            if (load.RefusedTimes > 0)
            {
                yield return new ChangeNext(load.Load.Value, "was plugged in and took no charge: charge it warm, look at cable and outlet", Text($"{load.RefusedTimes} times, {load.RefusedHours:0.0} h"));
            }
        }
    }

    private static IEnumerable<ChangeNext> Learnt(TripAccount account)
    {
        HashSet<KitId> boxes = [.. account.Energy.Learnt.Select(one => one.Item)];
        foreach (TripEvidence one in account.Energy.Learnt.Where(one => one.Declared > 0 && one.Evidence >= LeastDays && boxes.Contains(one.Item)))
        {
            if (one.Figure is LearntFigure.PanelDerate or LearntFigure.BoxLoss && Differs(one.Value, one.Declared, 0.1) && Math.Abs(one.Value - one.Declared) > one.Doubt)
            {
                string key = one.Figure == LearntFigure.PanelDerate ? "derate" : "loss";
                string unit = one.Figure == LearntFigure.PanelDerate ? "" : " W/K";
                yield return new ChangeNext(one.Item.Value, Text($"write {key}: {one.Value:0.00}{unit} into the trip file, or let kitmesh learn carry it over"), Text($"{one.Value:0.00} ± {one.Doubt:0.00}{unit} from {one.Evidence} {one.EvidenceOf}; the file says {one.Declared:0.00}{unit}"));
            }
        }
    }

    private static IEnumerable<ChangeNext> Footage(TripAccount account, KitItem[] kit)
    {
        foreach (FootageSource source in kit.OfType<FootageSource>())
        {
            FootageSum[] days = [.. account.Footage.Where(sum => sum.Source == source.Id)];
            double perDay = days.Length > 0 ? days.Average(day => day.Size.Gigabytes) : 0;
            if (days.Length >= LeastDays && Differs(perDay, source.GigabytesPerDay, 0.25))
            {
                yield return new ChangeNext(source.Id.Value, Text($"write perDay: {Gigabytes(perDay)} into the trip file"), Text($"{Gigabytes(perDay)} on each of {days.Length} days with clips; the file says {Gigabytes(source.GigabytesPerDay)}"));
            }
        }
    }

    private static IEnumerable<ChangeNext> Agents(TripAccount account)
    {
        foreach (var agent in account.Silences.GroupBy(silence => silence.Subject))
        {
            yield return new ChangeNext(agent.Key, "was silent: look at its power and its link, or allow it longer in the trip file", Text($"{agent.Sum(silence => silence.Stood.TotalHours):0} h in {agent.Count()} silences"));
        }

        foreach (var reader in account.Faults.GroupBy(fault => (fault.By, fault.What)))
        {
            yield return new ChangeNext(reader.Key.What, Text($"gave nonsense or nothing on {reader.Key.By}: look at cable and contacts"), Text($"{reader.Count()} faults, {reader.Sum(fault => fault.Stood.TotalHours):0.0} h"));
        }
    }

    internal static string Gigabytes(double gigabytes) => gigabytes >= 1 ? Text($"{gigabytes:0.#} GB/d") : Text($"{gigabytes * 1000:0.##} MB/d");

    private static bool Differs(double a, double b, double share) => Math.Abs(a - b) > share * Math.Max(Math.Abs(b), 1e-9);

    private static string Text(FormattableString text) => FormattableString.Invariant(text);
}
