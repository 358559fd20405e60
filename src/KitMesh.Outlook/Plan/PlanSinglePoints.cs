using KitMesh.Domain;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Planning;
using KitMesh.Domain.Reports;

namespace KitMesh.Outlook.Plan;

/// <summary>What there is only one of, so that its loss stops something.</summary>
internal static class PlanSinglePoints
{
    internal static IEnumerable<SinglePoint> Of(ValueList<KitItem> kit, PlanExtras extras)
    {
        foreach ((GearKind kind, string what) in new[] { (GearKind.Charger, "charger"), (GearKind.Cable, "cable"), (GearKind.Reader, "card reader") })
        {
            foreach (IGrouping<KitId?, Gear> group in extras.Gear.Where(gear => gear.Kind == kind).GroupBy(gear => gear.Fits))
            {
                if (group.Sum(gear => gear.Count) == 1)
                {
                    string fits = group.Key is { } told ? $" that fits {told}" : "";
                    yield return new SinglePoint(group.First().Name, $"the only {what}{fits}");
                }
            }
        }

        Drive[] drives = [.. kit.OfType<Drive>()];
        KitId[] cases = [.. drives.Select(drive => drive.Case).OfType<KitId>().Distinct()];
        if (drives.Length > 0 && cases.Length == 1 && drives.All(drive => drive.Case is not null))
        {
            yield return new SinglePoint(cases[0], "every drive rides in this one case: what it loses is lost whole");
        }

        if (drives.Length == 1)
        {
            yield return new SinglePoint(drives[0].Id, "the only drive");
        }

        foreach (Bank bank in kit.OfType<Bank>())
        {
            foreach ((KitId[] items, string words) in new[]
            {
                (kit.OfType<Pack>().Where(pack => pack.Bank == bank.Id).Select(pack => pack.Id).ToArray(), $"the only pack of {bank.Id}"),
                (kit.OfType<Panel>().Where(panel => panel.Bank == bank.Id).Select(panel => panel.Id).ToArray(), $"the only panel of {bank.Id}: without it nothing refills it"),
                (kit.OfType<Outlet>().Where(outlet => outlet.Bank == bank.Id).Select(outlet => outlet.Id).ToArray(), $"the only outlet of {bank.Id}"),
            })
            {
                if (items.Length == 1)
                {
                    yield return new SinglePoint(items[0], words);
                }
            }
        }
    }
}
