using KitMesh.Domain.Kit;
using KitMesh.Domain.Planning;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.TripFile.Keys;
using KitMesh.TripFile.Reading;

namespace KitMesh.TripFile.Sections;

/// <summary><c>gear:</c> becomes <see cref="Gear"/>.</summary>
internal sealed class GearSection() : Section("gear", "What weighs, fits or flies and that no reading names: chargers, cables, card readers, loose batteries, tents. For `kitmesh plan` only.")
{
    private static readonly AnyNameKey Title = new("camera charger", "Its name; may stand twice.");

    private static readonly WordKey<GearKind> KindWord = new(
        "kind",
        "charger, cable, reader (of cards), spare-battery or power-bank (both need energy), other.",
        "other",
        ("charger", GearKind.Charger),
        ("cable", GearKind.Cable),
        ("reader", GearKind.Reader),
        ("spare-battery", GearKind.SpareBattery),
        ("power-bank", GearKind.PowerBank),
        ("other", GearKind.Other));

    private static readonly WholeKey Count = new("count", 1, 1000, 2, "How many.", 1);
    private static readonly QuantityKey Weight = new("mass", UnitFamily.Mass, 0.001, 500, 0.35, "What one weighs.", required: false);
    private static readonly UseKey Carrier = new("carrier", "ridge sound", "The person or team who carries it.", false, KitKind.Person, KitKind.Team);
    private static readonly LabelKey Sled = new("sled", "ridge sled", "The sled, boat or bag that it rides in.");
    private static readonly LabelKey Fits = new("fits", "camera battery", "What a charger, cable or reader fits: a plug, a battery or a card type. Kinds of one fit stand in for each other.");
    private static readonly QuantityKey Energy = new("energy", UnitFamily.Energy, 0.1, 5000, 98, "Energy of one battery, from its label.", required: false);

    public override IReadOnlyList<TripKey> Keys { get; } = [Title, KindWord, Count, Weight, Carrier, Sled, Fits, Energy];

    protected override void Read(TripEntry entry)
    {
        KitId name = entry.Get(Title);
        GearKind kind = entry.Get(KindWord, KindWord.Standard);
        int count = entry.Get(Count, Count.Standard);
        double? mass = entry.Optional(Weight);
        KitId? carrier = entry.Optional(Carrier);
        KitId? sled = entry.Optional(Sled);
        KitId? fits = entry.Optional(Fits);
        double? energy = entry.Optional(Energy);
        if (kind is GearKind.SpareBattery or GearKind.PowerBank && energy is null)
        {
            entry.Error("kind", "A loose battery needs its energy.", "Add \"energy: 98 Wh\", from the label: the air rules count it.");
        }

        if (entry.IsSound)
        {
            entry.Ledger.Gear.Add(new Gear(
                name, kind, count, mass is { } kilograms ? new Kilograms(kilograms) : null, carrier, sled, fits, energy is { } wattHours ? new WattHours(wattHours) : null));
        }
    }
}
