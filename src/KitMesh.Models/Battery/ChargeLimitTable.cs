using KitMesh.Domain;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Quantities;

namespace KitMesh.Models.Battery;

/// <summary>One chemistry's published charge table, before any margin.</summary>
/// <remarks>
/// Sources, strictest taken where they differ:
/// Battery University, BU-410 "Charging at High and Low Temperatures", table 1 (windows of lithium-ion, nickel and lead-acid;
/// nickel 0.1C below freezing and 0.3C at 0 to 5 °C; lead-acid at most 0.3C below freezing).
/// Zone currents of lithium-ion: a seller's sheet of a 2.6 Ah 18650 pack (0 to 5 °C 0.1C, 5 to 15 °C 0.2C, above 0.5C; a weak source),
/// no looser than the half current under 10 °C of the JEITA charging guideline.
/// Zone currents of LFP: manual of a 48 V 50 Ah module, tables 4.3 and 4.4, normal column (none below 0 °C).
/// Nickel metal hydride: BU-410 and the maker's sheet of a 0.7 Ah AAA cell (standard 0 to 45 °C at 0.1C, rapid to 40 °C).
/// Highest cell voltages: IEC 62133-2 style upper limits and lead-acid 2.45 V with -3 mV/K (BU-403, BU-410), from memory.
/// </remarks>
internal sealed record ChargeLimitTable(
    Celsius PublishedLower,
    Celsius PublishedUpper,
    ValueList<ChargeZone> Zones,
    Volts? MaxCell,
    double VoltsPerKelvin,
    string Source)
{
    private static readonly ValueList<ChargeZone> Lithium =
        [Zone(0, 5, 0.1), Zone(5, 15, 0.2), Zone(15, 45, 0.5)];

    private static readonly ChargeLimitTable LithiumIon = new(
        new(0), new(45), Lithium, new(4.20), 0, "BU-410 table 1 (0 to 45 °C); 18650 pack sheet for the currents");

    private static readonly ChargeLimitTable Lfp = new(
        new(0),
        new(45),
        [Zone(0, 10, 0.1), Zone(10, 25, 0.2), Zone(25, 45, 0.5)],
        new(3.65),
        0,
        "48 V LFP module manual, tables 4.3 and 4.4; BU-410 table 1 for the upper end");

    private static readonly ChargeLimitTable Nickel = new(
        new(0),
        new(45),
        [Zone(0, 5, 0.1), Zone(5, 40, 0.3), Zone(40, 45, 0.1)],
        new(1.55),
        0,
        "BU-410 table 1; sheet of a 0.7 Ah NiMH cell");

    private static readonly ChargeLimitTable Lead = new(
        new(-20), new(50), [Zone(-20, 50, 0.3)], new(2.45), -0.003, "BU-410 table 1");

    // Unknown: the lithium window with the lower current of every zone of all lithium tables, and no voltage to judge by.
    private static readonly ChargeLimitTable Strictest = new(
        new(0),
        new(45),
        [Zone(0, 10, 0.1), Zone(10, 25, 0.2), Zone(25, 45, 0.3)],
        null,
        0,
        "chemistry not told: the strictest of all tables");

    public static ChargeLimitTable For(Chemistry chemistry) => chemistry switch
    {
        Chemistry.Nmc or Chemistry.Lco => LithiumIon,
        Chemistry.Lfp => Lfp,
        Chemistry.NiMh => Nickel,
        Chemistry.LeadAcid => Lead,
        _ => Strictest,
    };

    private static ChargeZone Zone(double from, double to, double rate) => new(new(from), new(to), rate);
}
