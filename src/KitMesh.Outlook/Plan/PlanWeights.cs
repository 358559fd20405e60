using System.Globalization;
using KitMesh.Domain;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Planning;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;

namespace KitMesh.Outlook.Plan;

/// <summary>Weight by person, team and sled.</summary>
internal static class PlanWeights
{
    internal static IEnumerable<CarriedWeight> Of(ValueList<KitItem> kit, PlanExtras extras)
    {
        Dictionary<KitId, KitId> teams = kit.OfType<Bank>().ToDictionary(bank => bank.Id, bank => bank.Team);
        List<(KitId? Carrier, KitId? Sled, string Item, double Kilograms)> things =
        [
            .. kit.OfType<Pack>().Where(pack => pack.Mass is not null).Select(pack => (TeamOf(pack.Bank, teams), (KitId?)null, pack.Id.Value, pack.Mass!.Value.Value)),
            .. kit.OfType<Panel>().Where(panel => panel.Mass is not null).Select(panel => (TeamOf(panel.Bank, teams), (KitId?)null, panel.Id.Value, panel.Mass!.Value.Value)),
            .. extras.Gear.Where(gear => gear.Mass is not null).Select(gear => (gear.Carrier, gear.Sled, gear.Count == 1 ? gear.Name.Value : Counted(gear), gear.Mass!.Value.Value * gear.Count)),
        ];
        return things.GroupBy(thing => (Carrier: thing.Carrier, IsSled: false))
            .Concat(things.Where(thing => thing.Sled is not null).GroupBy(thing => (Carrier: thing.Sled, IsSled: true)))
            .Select(group => new CarriedWeight(
                group.Key.Carrier,
                group.Key.IsSled,
                new Kilograms(group.Sum(thing => thing.Kilograms)),
                group.OrderByDescending(thing => thing.Kilograms).Select(thing => string.Create(CultureInfo.InvariantCulture, $"{thing.Item} {thing.Kilograms:0.##} kg")).ToValueList()))
            .OrderBy(weight => weight.IsSled)
            .ThenBy(weight => weight.Carrier?.Value ?? "~", StringComparer.Ordinal);
    }

    /// <summary>Packs and panels whose weight nothing tells.</summary>
    internal static IEnumerable<KitId> Untold(ValueList<KitItem> kit, PlanExtras extras) =>
        kit.Where(item => item is Pack { Mass: null } or Panel { Mass: null }).Select(item => item.Id).Concat(extras.Gear.Where(gear => gear.Mass is null).Select(gear => gear.Name)).Distinct();

    private static KitId? TeamOf(KitId? bank, Dictionary<KitId, KitId> teams) => bank is { } id && teams.TryGetValue(id, out KitId team) ? team : null;

    private static string Counted(Gear gear) => string.Create(CultureInfo.InvariantCulture, $"{gear.Count} × {gear.Name}");
}
