using KitMesh.Domain.Kit;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.TripFile.Keys;
using KitMesh.TripFile.Reading;

namespace KitMesh.TripFile.Sections;

/// <summary><c>panels:</c> become <see cref="Panel"/>.</summary>
internal sealed class PanelSection() : Section("panels", "Solar panels.")
{
    private static readonly NameKey Title = new(KitKind.Panel, "ridge panel");
    private static readonly UseKey Bank = new("bank", "ridge bank", "The bank it charges.", true, KitKind.Bank);
    private static readonly QuantityKey Rated = new("rated", UnitFamily.Power, 1, 5000, 200, "DC power at 1,000 W/m2 and 25 °C cell temperature, from the label.");
    private static readonly QuantityKey Tilt = new("tilt", UnitFamily.Angle, 0, 90, 60, "Angle from level.");
    private static readonly QuantityKey Heading = new("heading", UnitFamily.Angle, 0, 360, 180, "Where it faces, clockwise from north.");
    private static readonly NumberKey Coefficient = new("temperatureCoefficient", -0.01, 0, -0.004, "Change of power per kelvin as a fraction.", standard: -0.004);
    private static readonly NumberKey Derate = new("derate", 0.05, 1, 0.75, "Share of the power left after cable, controller, dirt and angle; learnt from the readings.", standard: 0.75);
    private static readonly QuantityKey OpenCircuit = new("openCircuit", UnitFamily.Voltage, 1, 1000, 24, "Open-circuit voltage at 25 °C, from the label.", required: false);
    private static readonly QuantityKey Weight = new("mass", UnitFamily.Mass, 0.05, 100, 6, "What it weighs.", required: false);

    public override IReadOnlyList<TripKey> Keys { get; } = [Title, Bank, Rated, Tilt, Heading, Coefficient, Derate, OpenCircuit, Weight];

    protected override void Read(TripEntry entry)
    {
        KitId id = entry.Get(Title);
        KitId bank = entry.Get(Bank);
        double rated = entry.Get(Rated);
        double tilt = entry.Get(Tilt);
        double heading = entry.Get(Heading);
        double coefficient = entry.Get(Coefficient, Coefficient.Standard);
        double derate = entry.Get(Derate, Derate.Standard);
        double? openCircuit = entry.Optional(OpenCircuit);
        double? mass = entry.Optional(Weight);
        entry.Add(() => new Panel(
            id,
            bank,
            new Watts(rated),
            new Degrees(tilt),
            new Degrees(heading % 360),
            coefficient,
            derate,
            openCircuit is { } volts ? new Volts(volts) : null,
            mass is { } kilograms ? new Kilograms(kilograms) : null));
    }
}
