using KitMesh.Domain.Kit;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.TripFile.Keys;
using KitMesh.TripFile.Reading;

namespace KitMesh.TripFile.Sections;

/// <summary><c>loads:</c> become <see cref="Load"/>.</summary>
internal sealed class LoadSection() : Section("loads", "Devices that must be charged or fed from a bank.")
{
    private static readonly NameKey Title = new(KitKind.Load, "ridge camera");
    private static readonly UseKey Team = new("team", "ridge team", "Whose it is.", true, KitKind.Team);
    private static readonly UseKey Bank = new("bank", "ridge bank", "The bank it draws from.", true, KitKind.Bank);

    private static readonly WordKey<LoadClass> Class = new(
        "class",
        "life-safety (lives depend on it), work (the job stops without it), comfort (it can wait).",
        null,
        ("life-safety", LoadClass.LifeSafety),
        ("work", LoadClass.Work),
        ("comfort", LoadClass.Comfort));

    private static readonly WholeKey Priority = new("priority", 1, 99, 1, "Order inside its class, 1 first.", standard: 5);
    private static readonly QuantityKey PerDay = new("perDay", UnitFamily.Energy, 0, 20_000, 45, "Energy that it takes from the bank on an ordinary day.");
    private static readonly NumberKey Spread = new("spread", 0, 3, 0.25, "Day-to-day standard deviation as a fraction.", standard: 0.25);
    private static readonly QuantityKey Battery = new("battery", UnitFamily.Energy, 0.1, 5000, 45, "Energy of its own battery. Without the key: it has none.", required: false);
    private static readonly QuantityKey Charger = new("charger", UnitFamily.Power, 0.1, 2000, 20, "Highest power that it takes while charging.", required: false);

    private static readonly WordKey<Chemistry> ChemistryWord = new(
        "chemistry",
        "Chemistry of its battery: nmc, lco, lfp, nimh, lead-acid or unknown (strictest limits).",
        "unknown",
        ("nmc", Chemistry.Nmc),
        ("lco", Chemistry.Lco),
        ("lfp", Chemistry.Lfp),
        ("nimh", Chemistry.NiMh),
        ("lead-acid", Chemistry.LeadAcid),
        ("unknown", Chemistry.Unknown));

    public override IReadOnlyList<TripKey> Keys { get; } =
        [Title, Team, Bank, Class, Priority, PerDay, Spread, Battery, Charger, ChemistryWord];

    protected override void Read(TripEntry entry)
    {
        KitId id = entry.Get(Title);
        KitId team = entry.Get(Team);
        KitId bank = entry.Get(Bank);
        LoadClass loadClass = entry.Get(Class);
        int priority = entry.Get(Priority, Priority.Standard);
        double perDay = entry.Get(PerDay);
        double spread = entry.Get(Spread, Spread.Standard);
        double? battery = entry.Optional(Battery);
        double? charger = entry.Optional(Charger);
        Chemistry chemistry = entry.Get(ChemistryWord, ChemistryWord.Standard);
        if (entry.IsSound && battery is null != charger is null)
        {
            entry.Error(
                battery is null ? Charger.Name : Battery.Name,
                "A battery needs a charger power and a charger power needs a battery.",
                "Write both \"battery\" and \"charger\", or neither for a device that only draws.");
        }

        entry.Add(() => new Load(
            id,
            team,
            bank,
            loadClass,
            priority,
            new WattHours(perDay),
            spread,
            battery is { } wattHours ? new WattHours(wattHours) : null,
            charger is { } watts ? new Watts(watts) : null,
            chemistry));
    }
}
