using KitMesh.Domain.Quantities;

namespace KitMesh.Models.Panel;

/// <summary>What a panel gives, and how high its voltage climbs in the cold.</summary>
public static class PanelPower
{
    /// <summary>Change of the open-circuit voltage per kelvin as a fraction, where the maker gives none.</summary>
    /// <remarks>-0.0028 / K for crystalline silicon: typical of makers' sheets, from memory. It makes +15 % at -30 °C, as crews find.</remarks>
    public const double OpenCircuitCoefficient = -0.0028;

    /// <summary>DC power at the maximum power point.</summary>
    /// <param name="plane">Irradiance on the panel.</param>
    /// <param name="cell">Cell temperature.</param>
    /// <param name="rated">Power at 1,000 W/m2 and 25 °C.</param>
    /// <param name="coefficient">Change of power per kelvin as a fraction; about -0.004.</param>
    /// <remarks>
    /// P = G/1000 P0 (1 + γ (T - 25)). Source: A. Dobos, "PVWatts Version 5 Manual", NREL/TP-6A20-62641, 2014, equation 8. Below 0 °C the power grows past the rating;
    /// the controller may clip it. Check: rows pvwatts_dc.
    /// </remarks>
    public static Watts Dc(WattsPerSquareMetre plane, Celsius cell, Watts rated, double coefficient) =>
        new(plane.Value * 0.001 * rated.Value * (1 + (coefficient * (cell.Value - 25))));

    /// <summary>DC power with the loss of efficiency in weak light.</summary>
    /// <param name="plane">Irradiance on the panel.</param>
    /// <param name="cell">Cell temperature.</param>
    /// <param name="rated">Power at 1,000 W/m2 and 25 °C.</param>
    /// <param name="coefficient">Change of power per kelvin as a fraction.</param>
    /// <param name="weakLight">k: share of the rating lost at 200 W/m2.</param>
    /// <param name="capAtFull">No correction above 1,000 W/m2.</param>
    /// <remarks>Source: B. Marion, "Comparison of predictive models for photovoltaic module performance", 33rd IEEE PVSC, 2008, doi:10.1109/PVSC.2008.4922586. Check: rows pvwatts_dc with k.</remarks>
    public static Watts DcWeakLight(
        WattsPerSquareMetre plane, Celsius cell, Watts rated, double coefficient, double weakLight, bool capAtFull = false)
    {
        double g = plane.Value;
        double error = g <= 200 ? weakLight * (1 - Math.Pow(1 - (g / 200), 4)) : weakLight * (1000 - g) / 800;
        error = capAtFull && g >= 1000 ? 0 : error;
        return new(Math.Max(0, Dc(plane, cell, rated, coefficient).Value - (rated.Value * error)));
    }

    /// <summary>Open-circuit voltage at a cell temperature.</summary>
    /// <param name="at25">From the maker's sheet, at 25 °C.</param>
    /// <param name="cell">Cell temperature; take the coldest dawn, when the sun is up and the panel still cold.</param>
    /// <param name="coefficient">Change per kelvin as a fraction; null for <see cref="OpenCircuitCoefficient"/>.</param>
    /// <remarks>V = V25 (1 + β (T - 25)); linear over the temperatures of a camp. The controller's limit must not be passed: its maker's sheet decides.</remarks>
    public static Volts OpenCircuit(Volts at25, Celsius cell, double? coefficient = null) =>
        new(at25.Value * (1 + ((coefficient ?? OpenCircuitCoefficient) * (cell.Value - 25))));
}
