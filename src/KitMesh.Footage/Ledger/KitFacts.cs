using KitMesh.Domain.Kit;
using KitMesh.Domain.Reports;

namespace KitMesh.Footage.Ledger;

/// <summary>What the trip file declared and where people said that things are, as far as footage cares.</summary>
internal sealed class KitFacts
{
    /// <summary>Declarations by kind and name.</summary>
    public Dictionary<(KitKind Kind, KitId Id), List<(PackedStamp Stamp, KitDeclared Fact)>> Declared { get; } = [];

    /// <summary>Placements by the thing that moved.</summary>
    public Dictionary<KitId, List<(PackedStamp Stamp, KitPlaced Fact)>> Placed { get; } = [];

    public void Declare(in PackedStamp stamp, KitDeclared declared)
    {
        if (declared.Item.Kind is not (KitKind.Trip or KitKind.Team or KitKind.Person or KitKind.Place
            or KitKind.FootageSource or KitKind.Card or KitKind.Drive or KitKind.Case or KitKind.CopyRule
            or KitKind.WatchedAgent or KitKind.LossFigure or KitKind.SharedDanger))
        {
            return;
        }

        (KitKind, KitId) key = (declared.Item.Kind, declared.Item.Id);
        if (!Declared.TryGetValue(key, out List<(PackedStamp, KitDeclared)>? list))
        {
            Declared.Add(key, list = []);
        }

        list.Add((stamp, declared));
    }

    public void Place(in PackedStamp stamp, KitPlaced placed)
    {
        if (!Placed.TryGetValue(placed.Item, out List<(PackedStamp, KitPlaced)>? list))
        {
            Placed.Add(placed.Item, list = []);
        }

        list.Add((stamp, placed));
    }
}
