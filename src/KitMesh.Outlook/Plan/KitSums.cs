using KitMesh.Domain;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Planning;
using KitMesh.Domain.Reports;
using KitMesh.Models.Battery;

namespace KitMesh.Outlook.Plan;

/// <summary>What one of each choice adds to the sums that a bank's outlook rests on.</summary>
/// <remarks>Packs of one bank and kind: charge and conductance. Panels: watts, apart for each way they stand. Drives: each by itself.</remarks>
internal static class KitSums
{
    internal static IReadOnlyList<double[]> Of(IReadOnlyList<KitChoice> choices, ValueList<KitItem> kit)
    {
        var names = new List<object>();
        List<List<(object Sum, double Adds)>> adds = [.. choices.Select(choice => Sums(choice, kit).ToList())];
        names.AddRange(adds.SelectMany(one => one.Select(sum => sum.Sum)).Distinct());
        return [.. adds.Select(one => names.Select(name => one.Where(sum => sum.Sum.Equals(name)).Sum(sum => sum.Adds)).ToArray())];
    }

    private static IEnumerable<(object Sum, double Adds)> Sums(KitChoice choice, ValueList<KitItem> kit)
    {
        switch (choice.Kind)
        {
            case KitKind.Pack:
                Pack pack = kit.OfType<Pack>().First(one => one.Id == choice.Item);
                yield return ("charge", pack.Capacity.Value);
                yield return ("conductance", 1 / new PackModel(pack).ResistanceAt25.Value);
                break;
            case KitKind.Panel:
                Panel panel = kit.OfType<Panel>().First(one => one.Id == choice.Item);
                yield return ((panel.Tilt, panel.Heading, panel.TemperatureCoefficient), panel.Rated.Value * panel.Derate);
                break;
            default:
                yield return (choice.Item, 1);
                break;
        }
    }
}
