using KitMesh.Domain.Quantities;
using KitMesh.Models.Panel;
using KitMesh.Tests.Published;

namespace KitMesh.Tests.Models.Sky;

/// <summary>The panel's rows of irradiance.csv: cell temperature and DC power.</summary>
internal static class IrradianceTableRest
{
    public static double Evaluate(PublishedRow row)
    {
        var plane = new WattsPerSquareMetre(row.Number("poa"));
        var air = new Celsius(row.Number("Tair_C", 0));
        var wind = new MetresPerSecond(row.Number("wind_ms", 0));
        return row["model"] switch
        {
            "faiman" => CellTemperature.Faiman(plane, air, wind, row.Number("u0"), row.Number("u1")).Value,
            "ross" => CellTemperature.Ross(plane, air, new(row.Number("noct_C"))).Value,
            "noct_sam" => CellTemperature.Nominal(plane, air, wind, new(row.Number("noct_C")), row.Number("eff")).Value,
            "sapm_cell" => CellTemperature.Sandia(plane, air, wind, row.Number("a"), row.Number("b"), new(row.Number("deltaT"))).Value,
            "sapm_module" => CellTemperature.Sandia(plane, air, wind, row.Number("a"), row.Number("b"), new(0)).Value,
            "pvsyst_cell" => CellTemperature.HeatBalance(plane, air, wind, row.Number("u_c"), row.Number("u_v"), row.Number("eff"), row.Number("alpha")).Value,
            "pvwatts_dc" => Dc(row, plane),
            _ => throw new InvalidOperationException($"No model for {row}"),
        };
    }

    private static double Dc(PublishedRow row, WattsPerSquareMetre plane)
    {
        var cell = new Celsius(row.Number("Tcell_C"));
        var rated = new Watts(row.Number("pdc0_W"));
        return row.Has("k")
            ? PanelPower.DcWeakLight(plane, cell, rated, row.Number("gamma"), row.Number("k"), row.Number("cap", 0) > 0).Value
            : PanelPower.Dc(plane, cell, rated, row.Number("gamma")).Value;
    }
}
