using KitMesh.Domain.Kit;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.TripFile.Keys;
using KitMesh.TripFile.Reading;

namespace KitMesh.TripFile.Sections;

/// <summary><c>packs:</c> become <see cref="Pack"/>.</summary>
internal sealed class PackSection() : Section("packs", "Battery packs. Joining unequal packs in parallel is dangerous: see docs/safety.md and ask licensed people.")
{
    private static readonly NameKey Title = new(KitKind.Pack, "ridge pack 1");
    private static readonly UseKey Bank = new("bank", "ridge bank", "The bank it belongs to. Without the key: used alone.", false, KitKind.Bank);

    private static readonly WordKey<Chemistry> ChemistryWord = new(
        "chemistry",
        "nmc, lco (also pouches sold as lithium polymer), lfp (lithium iron phosphate), nimh, lead-acid, or unknown (strictest limits).",
        null,
        ("nmc", Chemistry.Nmc),
        ("lco", Chemistry.Lco),
        ("lfp", Chemistry.Lfp),
        ("nimh", Chemistry.NiMh),
        ("lead-acid", Chemistry.LeadAcid),
        ("unknown", Chemistry.Unknown));

    private static readonly WholeKey Series = new("series", 1, 120, 4, "Cells or cell groups in series: 4 for a 12.8 V lfp pack, 6 for a 12 V lead pack.");
    private static readonly QuantityKey Capacity = new("capacity", UnitFamily.Charge, 0.05, 5000, 100, "Rated charge at 25 °C, from the label. Not the energy in Wh.");
    private static readonly QuantityKey Resistance = new("resistance", UnitFamily.Resistance, 0.00005, 20, 0.02, "Internal resistance at 25 °C. Without the key: typical for the chemistry.", required: false);
    private static readonly QuantityKey MinCharge = new("minChargeTemperature", UnitFamily.Temperature, -40, 25, 0, "The maker's lower limit for charging. Without the key: the chemistry's.", required: false);
    private static readonly QuantityKey MaxCharge = new("maxChargeTemperature", UnitFamily.Temperature, 20, 70, 45, "The maker's upper limit for charging. Without the key: the chemistry's.", required: false);
    private static readonly QuantityKey MaxCell = new("maxCellVoltage", UnitFamily.Voltage, 1, 5, 3.65, "The maker's highest cell voltage. Without the key: the chemistry's.", required: false);
    private static readonly QuantityKey Weight = new("mass", UnitFamily.Mass, 0.01, 500, 11, "What it weighs.", required: false);

    public override IReadOnlyList<TripKey> Keys { get; } =
        [Title, Bank, ChemistryWord, Series, Capacity, Resistance, MinCharge, MaxCharge, MaxCell, Weight];

    protected override void Read(TripEntry entry)
    {
        KitId id = entry.Get(Title);
        KitId? bank = entry.Optional(Bank);
        Chemistry chemistry = entry.Get(ChemistryWord);
        int series = entry.Get(Series);
        double capacity = entry.Get(Capacity);
        double? resistance = entry.Optional(Resistance);
        double? minCharge = entry.Optional(MinCharge);
        double? maxCharge = entry.Optional(MaxCharge);
        double? maxCell = entry.Optional(MaxCell);
        double? mass = entry.Optional(Weight);
        if (entry.IsSound)
        {
            EnergyInsteadOfCharge.Ask(entry, Capacity.Name, chemistry, series, capacity, mass);
        }

        entry.Add(() => new Pack(
            id,
            bank,
            chemistry,
            series,
            new AmpereHours(capacity),
            resistance is { } ohms ? new Ohms(ohms) : null,
            minCharge is { } low ? new Celsius(low) : null,
            maxCharge is { } high ? new Celsius(high) : null,
            maxCell is { } volts ? new Volts(volts) : null,
            mass is { } kilograms ? new Kilograms(kilograms) : null));
    }
}
