using KitMesh.Domain.Kit;
using KitMesh.Domain.Reports;
using KitMesh.TripFile.Keys;
using KitMesh.TripFile.Reading;

namespace KitMesh.TripFile.Sections;

/// <summary><c>choices:</c> become <see cref="Domain.Planning.KitChoice"/> once all names are read.</summary>
internal sealed class ChoiceSection() : Section("choices", "How many of a declared pack, panel or drive could be taken instead of one: `kitmesh plan --lightest` finds the lightest kit that is safe enough.")
{
    private static readonly UseKey Item = new("item", "ridge pack 1", "The declared item; its own entry says what one of it is.", true, KitKind.Pack, KitKind.Panel, KitKind.Drive);
    private static readonly WholeKey Least = new("least", 0, 100, 1, "The fewest that come into question.", 0);
    private static readonly WholeKey Most = new("most", 0, 100, 4, "The most that come into question.");
    private static readonly QuantityKey Weight = new("mass", UnitFamily.Mass, 0.01, 500, 11, "What one weighs. Without the key: the item's own mass.", required: false);

    public override IReadOnlyList<TripKey> Keys { get; } = [Item, Least, Most, Weight];

    protected override void Read(TripEntry entry)
    {
        KitId item = entry.Get(Item);
        int least = entry.Get(Least, Least.Standard);
        int most = entry.Get(Most);
        double? mass = entry.Optional(Weight);
        if (entry.IsSound && most < least)
        {
            entry.Error("most", $"At most {most} and at least {least} contradict each other.", "Write the smaller number under \"least\".");
        }

        if (entry.IsSound)
        {
            entry.Ledger.Chosen.Add(new ChosenEntry(entry, item, least, most, mass));
        }
    }
}
