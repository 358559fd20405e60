using System.Globalization;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;

namespace KitMesh.Outlook.Plan;

/// <summary>Kit with another number of an item.</summary>
internal static class KitCounts
{
    /// <summary>The kit with so many of an item.</summary>
    /// <remarks>
    /// Equal packs in parallel are one pack with the sum of their charge and the share of their resistance; equal panels on one bank one panel with
    /// the sum of their power: the outlook adds them up in the same way, and a combination costs no more than one item. Drives stay apart, each in
    /// a case as it was declared.
    /// </remarks>
    internal static IEnumerable<KitItem> With(IEnumerable<KitItem> kit, KitId item, KitKind kind, int count) =>
        kit.SelectMany(one => one.Kind == kind && one.Id == item ? Many(one, count) : [one]);

    private static IEnumerable<KitItem> Many(KitItem item, int count) => count == 0 ? [] : item switch
    {
        Pack pack => [pack with { Capacity = pack.Capacity * count, Resistance = pack.Resistance is { } one ? new Ohms(one.Value / count) : null, Mass = pack.Mass is { } mass ? mass * count : null }],
        Panel panel => [panel with { Rated = panel.Rated * count, Mass = panel.Mass is { } mass ? mass * count : null }],
        Drive drive => Enumerable.Range(0, count).Select(i => i == 0 ? drive : drive with { Id = Numbered(drive.Id, i + 1) }),
        _ => [item],
    };

    private static KitId Numbered(KitId id, int number)
    {
        string end = string.Create(CultureInfo.InvariantCulture, $" #{number}");
        string name = id.Value.Length + end.Length <= KitId.MaxLength ? id.Value : id.Value[..(KitId.MaxLength - end.Length)];
        return KitId.Parse(name + end);
    }
}
