using System.Globalization;
using KitMesh.Domain.Kit;
using KitMesh.TripFile.Reading;
using NodaTime;

namespace KitMesh.TripFile;

/// <summary>Questions that only the whole file can raise. They run on a file without mistakes.</summary>
internal static class TripChecks
{
    /// <summary>Open-circuit voltage rises by about 15 % from 25 °C to -30 °C (common practice, no published source).</summary>
    private const double OpenCircuitRisePerKelvin = 0.15 / 55;

    public static void Run(TripLedger ledger)
    {
        AskAboutCopyRules(ledger);
        AskAboutCalendar(ledger);
        AskAboutBanks(ledger);
        AskAboutColdPanels(ledger);
    }

    private static void AskAboutCopyRules(TripLedger ledger)
    {
        Drive[] kept = [.. ledger.Items.OfType<Drive>().Where(drive => !drive.Intermediate)];
        int drives = kept.Length;
        int cases = kept.Select(drive => drive.Case).Where(inCase => inCase is not null).Distinct().Count();
        int media = kept.Select(drive => drive.Medium).Where(medium => medium != DriveMedium.Unknown).Distinct().Count();
        foreach (CopyRule rule in ledger.Items.OfType<CopyRule>())
        {
            if (rule.Drives > drives || rule.Cases > cases)
            {
                ledger.Question(
                    ledger.LineOf(rule),
                    KindWords.Section(KitKind.CopyRule),
                    $"\"{rule.Id}\" wants {rule.Drives} drives in {rule.Cases} cases, and the file has {drives} drives in {cases} cases.",
                    "No card would ever be released under it: declare the missing ones, or ask for less.");
            }
        }

        foreach (CopyRule rule in ledger.Items.OfType<CopyRule>().Where(rule => rule.MediaTypes > media))
        {
            ledger.Question(
                ledger.LineOf(rule),
                KindWords.Section(KitKind.CopyRule),
                $"\"{rule.Id}\" wants {rule.MediaTypes} different media, and the file tells {media}.",
                "No card would ever be released under it: write \"medium: flash\" or \"medium: spinning\" at the drives, or ask for less.");
        }

        if (ledger.Items.OfType<FootageSource>().Any() && !ledger.Items.OfType<CopyRule>().Any())
        {
            ledger.Question(1, KindWords.Section(KitKind.CopyRule), "There are sources of footage and no copy rule.", "Two copies on two drives in two cases are asked then (common practice): add a rule that says what you want.");
        }
    }

    private static void AskAboutCalendar(TripLedger ledger)
    {
        Trip trip = ledger.Items.OfType<Trip>().Single();
        foreach (CalendarDay day in ledger.Items.OfType<CalendarDay>().Where(day => day.Day < trip.FirstDay || day.Day > trip.LastDay))
        {
            ledger.Question(
                ledger.LineOf(day),
                KindWords.Section(KitKind.CalendarDay),
                $"{day.Day:uuuu-MM-dd} is outside the trip.",
                $"The trip goes from {trip.FirstDay:uuuu-MM-dd} to {trip.LastDay:uuuu-MM-dd}; mend the day?");
        }
    }

    private static void AskAboutBanks(TripLedger ledger)
    {
        foreach (Bank bank in ledger.Items.OfType<Bank>())
        {
            Pack[] packs = [.. ledger.Items.OfType<Pack>().Where(pack => pack.Bank == bank.Id)];
            if (packs.Length == 0)
            {
                ledger.Question(ledger.LineOf(bank), KindWords.Section(KitKind.Bank), $"\"{bank.Id}\" has no pack.", $"Nothing can be said of it: write \"bank: {bank.Id}\" at its packs.");
            }
            else if (packs.Any(pack => pack.Chemistry != packs[0].Chemistry || pack.Series != packs[0].Series))
            {
                ledger.Question(
                    ledger.LineOf(bank),
                    KindWords.Section(KitKind.Bank),
                    $"\"{bank.Id}\" joins packs of different chemistry or cell count in parallel.",
                    "Joined unequal packs can weld, burn or explode: never join them, mend the file if it is wrong, and ask licensed people.");
            }
        }
    }

    private static void AskAboutColdPanels(TripLedger ledger)
    {
        double coldest = ledger.Items.OfType<Place>().Select(place => place.NightTemperature.Value).DefaultIfEmpty(25).Min();
        foreach (Panel panel in ledger.Items.OfType<Panel>())
        {
            Bank? bank = ledger.Items.OfType<Bank>().FirstOrDefault(candidate => candidate.Id == panel.Bank);
            if (panel.OpenCircuit is not { } warm || bank?.MaxPanelVolts is not { } limit)
            {
                continue;
            }

            double cold = warm.Value * (1 + ((25 - coldest) * OpenCircuitRisePerKelvin));
            if (cold > limit.Value)
            {
                ledger.Question(
                    ledger.LineOf(panel),
                    KindWords.Section(KitKind.Panel),
                    string.Create(CultureInfo.InvariantCulture, $"\"{panel.Id}\" gives about {cold:0.#} V open at {coldest} °C, over the {limit.Value} V that the controller of \"{bank.Id}\" stands."),
                    "A cold morning can destroy the controller: check both makers' sheets.");
            }
        }
    }
}
