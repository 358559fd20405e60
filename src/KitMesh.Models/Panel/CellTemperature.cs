using KitMesh.Domain.Quantities;

namespace KitMesh.Models.Panel;

/// <summary>How warm a panel's cells get in the sun.</summary>
public static class CellTemperature
{
    /// <summary>After Faiman: T = Ta + G / (u0 + u1 v).</summary>
    /// <param name="plane">Irradiance on the panel.</param>
    /// <param name="air">Air temperature.</param>
    /// <param name="wind">Wind speed.</param>
    /// <param name="u0">Heat loss in still air, W/(m2 K); 25 for an open rack.</param>
    /// <param name="u1">Heat loss by wind, W s/(m3 K); 6.84 for an open rack.</param>
    /// <remarks>
    /// Source: D. Faiman, "Assessing the outdoor operating temperature of photovoltaic modules", Progress in Photovoltaics 16 (2008) 307 to 315,
    /// doi:10.1002/pip.813. Fitted in a warm desert; radiation to a cold sky is not in it. Check: rows faiman.
    /// </remarks>
    public static Celsius Faiman(WattsPerSquareMetre plane, Celsius air, MetresPerSecond wind, double u0 = 25, double u1 = 6.84) =>
        new(air.Value + (plane.Value / (u0 + (u1 * wind.Value))));

    /// <summary>From the nominal operating temperature: T = Ta + (NOCT - 20) G / 800.</summary>
    /// <param name="plane">Irradiance on the panel.</param>
    /// <param name="air">Air temperature.</param>
    /// <param name="nominal">Nominal operating cell temperature from the maker's sheet.</param>
    /// <remarks>Source: R. Ross, "Flat-plate photovoltaic array design optimization", 14th IEEE PVSC, 1980. Check: rows ross.</remarks>
    public static Celsius Ross(WattsPerSquareMetre plane, Celsius air, Celsius nominal) =>
        new(air.Value + ((nominal.Value - 20) * plane.Value / 800));

    /// <summary>From the nominal operating temperature with wind and efficiency, as NREL's System Advisor Model does for a panel near the ground.</summary>
    /// <param name="plane">Irradiance on the panel.</param>
    /// <param name="air">Air temperature.</param>
    /// <param name="wind">Wind speed at 10 m; 0.51 of it reaches the panel.</param>
    /// <param name="nominal">Nominal operating cell temperature.</param>
    /// <param name="efficiency">Panel efficiency, from 0 to 1.</param>
    /// <remarks>Source: P. Gilman et al., NREL/TP-6A20-67399, 2018. Check: row noct_sam.</remarks>
    public static Celsius Nominal(WattsPerSquareMetre plane, Celsius air, MetresPerSecond wind, Celsius nominal, double efficiency) =>
        new(air.Value + (plane.Value / 800 * (nominal.Value - 20) * (1 - (efficiency / 0.9)) * (9.5 / (5.7 + (3.8 * 0.51 * wind.Value)))));

    /// <summary>Sandia's array model: T = Ta + G exp(a + b v) + G/1000 dT.</summary>
    /// <param name="plane">Irradiance on the panel.</param>
    /// <param name="air">Air temperature.</param>
    /// <param name="wind">Wind speed at 10 m.</param>
    /// <param name="a">-3.47 open rack glass/glass, -2.98 close mount, -3.56 open rack glass/polymer, -2.81 insulated back (a panel laid flat on the ground).</param>
    /// <param name="b">-0.0594, -0.0471, -0.0750 and -0.0455 s/m for the same.</param>
    /// <param name="cellRise">dT: 3, 1, 3 and 0 K for the same.</param>
    /// <remarks>Source: D. King, W. Boyson, J. Kratochvil, SAND2004-3535, 2004. Check: rows sapm_cell and sapm_module.</remarks>
    public static Celsius Sandia(WattsPerSquareMetre plane, Celsius air, MetresPerSecond wind, double a, double b, Kelvins cellRise) =>
        new(air.Value + (plane.Value * Math.Exp(a + (b * wind.Value))) + (plane.Value / 1000 * cellRise.Value));

    /// <summary>Steady heat balance: T = Ta + α G (1 - η) / (uc + uv v).</summary>
    /// <param name="plane">Irradiance on the panel.</param>
    /// <param name="air">Air temperature.</param>
    /// <param name="wind">Wind speed.</param>
    /// <param name="uc">Constant heat loss, W/(m2 K).</param>
    /// <param name="uv">Heat loss by wind, W s/(m3 K).</param>
    /// <param name="efficiency">Panel efficiency.</param>
    /// <param name="absorbed">Share of light absorbed.</param>
    /// <remarks>Common form in simulation programs; the check values are pvlib's published tests. Check: rows pvsyst_cell.</remarks>
    public static Celsius HeatBalance(
        WattsPerSquareMetre plane, Celsius air, MetresPerSecond wind, double uc, double uv, double efficiency, double absorbed) =>
        new(air.Value + (plane.Value * absorbed * (1 - efficiency) / (uc + (uv * wind.Value))));
}
