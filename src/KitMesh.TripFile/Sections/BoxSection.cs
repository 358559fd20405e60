using KitMesh.Domain.Kit;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.TripFile.Keys;
using KitMesh.TripFile.Reading;

namespace KitMesh.TripFile.Sections;

/// <summary><c>boxes:</c> become <see cref="Box"/>.</summary>
internal sealed class BoxSection() : Section("boxes", "Insulated boxes for banks, with a heater and a thermometer or without.")
{
    private static readonly NameKey Title = new(KitKind.Box, "ridge box");
    private static readonly QuantityKey Loss = new("loss", UnitFamily.HeatLoss, 0.02, 50, 0.6, "UA: heat that leaves per kelvin; learnt from the readings when told wrong.");
    private static readonly QuantityKey Capacity = new("heatCapacity", UnitFamily.HeatCapacity, 200, 2_000_000, 22_000, "C: heat that warms the content by a kelvin; about 1 kJ/K for each kilogram of cells.");
    private static readonly QuantityKey Heater = new("heater", UnitFamily.Power, 0, 500, 30, "Power of the heater. Without the key: none.", standard: 0);
    private static readonly QuantityKey On = new("heaterOn", UnitFamily.Temperature, -20, 30, 5, "The heater starts below this. Common practice, no published source: 4 to 5 °C.", standard: 5);
    private static readonly QuantityKey Off = new("heaterOff", UnitFamily.Temperature, -20, 40, 15, "The heater stops above this. Common practice, no published source: about 15 °C.", standard: 15);

    public override IReadOnlyList<TripKey> Keys { get; } = [Title, Loss, Capacity, Heater, On, Off];

    protected override void Read(TripEntry entry)
    {
        KitId id = entry.Get(Title);
        double loss = entry.Get(Loss);
        double capacity = entry.Get(Capacity);
        double heater = entry.Get(Heater, Heater.Standard);
        double on = entry.Get(On, On.Standard);
        double off = entry.Get(Off, Off.Standard);
        if (entry.IsSound && off <= on)
        {
            entry.Error(Off.Name, $"The heater would stop at {off} °C and start at {on} °C.", "heaterOff must be above heaterOn.");
        }

        entry.Add(() => new Box(
            id,
            new WattsPerKelvin(loss),
            new JoulesPerKelvin(capacity),
            new Watts(heater),
            new Celsius(on),
            new Celsius(off)));
    }
}
