using System.Globalization;
using KitMesh.Domain.Kit;
using KitMesh.TripFile.Reading;

namespace KitMesh.TripFile.Sections;

/// <summary>
/// Asks whether a pack's Wh were written where its Ah belong: the commonest slip, and one that makes every outlook wrong by
/// the pack's voltage.
/// </summary>
/// <remarks>
/// Nominal cell volts: common practice, no published source (lithium cells 3.6 to 3.7, lithium iron phosphate 3.2, nickel
/// metal hydride 1.2, lead 2). The question is asked past 350 Wh/kg where the mass is told, which no cell on sale reaches
/// with its case (common practice, no published source), and past 5 kWh in one pack where it is not: nobody carries that.
/// </remarks>
internal static class EnergyInsteadOfCharge
{
    private const double MostWattHoursPerKilogram = 350;
    private const double MostWattHoursPerPack = 5000;

    public static void Ask(TripEntry entry, string key, Chemistry chemistry, int series, double ampereHours, double? kilograms)
    {
        double volts = series * NominalCellVolts(chemistry);
        double wattHours = ampereHours * volts;
        bool odd = kilograms is { } mass ? wattHours / mass > MostWattHoursPerKilogram : wattHours > MostWattHoursPerPack;
        if (odd)
        {
            string weight = kilograms is { } told ? string.Create(CultureInfo.InvariantCulture, $" in {told} kg") : "";
            entry.Question(
                key,
                string.Create(CultureInfo.InvariantCulture, $"{ampereHours} Ah at {volts:0.#} V is {wattHours:0} Wh{weight}."),
                string.Create(CultureInfo.InvariantCulture, $"Did you mean {ampereHours} Wh? That is \"{ampereHours / volts:0.##} Ah\"."));
        }
    }

    private static double NominalCellVolts(Chemistry chemistry) => chemistry switch
    {
        Chemistry.Lfp => 3.2,
        Chemistry.NiMh => 1.2,
        Chemistry.LeadAcid => 2.0,
        _ => 3.65,
    };
}
