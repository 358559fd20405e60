using System.Globalization;
using KitMesh.Domain.Quantities;
using KitMesh.Models.Box;
using KitMesh.Tests.Published;

namespace KitMesh.Tests.Models.Box;

/// <summary>
/// thermal.csv: lumped warm-up, cool-down and thermostat (confirmed by an ODE solver to 1e-6 °C), box conduction by shape factors, and the textbook examples of
/// Incropera and DeWitt (5.1) and Cengel (4-1, 4-2).
/// </summary>
public sealed class ThermalTableTests
{
    private static readonly PublishedTable Table = PublishedTable.Load("thermal.csv");

    public static TheoryData<string> Ids => [.. Table.Rows.Select(row => row["id"])];

    [Theory]
    [MemberData(nameof(Ids))]
    public void Model_PublishedRow_AgreesToTheDigitsGiven(string id)
    {
        PublishedRow row = Table.Rows.Single(row => row["id"] == id);

        double actual = Evaluate(row);

        Assert.True(Math.Abs(actual - row.Expected) <= 2e-6 * Math.Abs(row.Expected) + 1e-9, $"{id} {row["case"]} {row["output"]}: {actual}, expected {row.Expected}");
    }

    private static double Evaluate(PublishedRow row) => row["case"] switch
    {
        "warmup" => WarmUp(row),
        "cooldown" => Model(row).CoolDown(new(row.Number("Tamb_C")), new(row.Number("T0_C")), new(row.Number("T1_C")))!.Value.TotalSeconds,
        "thermostat" => Thermostat(row),
        "box" => Walls(row),
        _ => Textbook(row["id"]),
    };

    private static BoxModel Model(PublishedRow row) => new(new(row.Number("C_J_K")), new(row.Number("UA_W_K")));

    private static double WarmUp(PublishedRow row)
    {
        WarmUp warm = Model(row).WarmUp(new(row.Number("P_W")), new(row.Number("Tamb_C")), new(row.Number("T0_C")), new(row.Number("T1_C")));
        Assert.True(warm.Reachable);
        return row["output"] switch
        {
            "tau" => warm.TauSeconds,
            "T_equilibrium" => warm.Equilibrium.Value,
            "t" => warm.Time!.Value.TotalSeconds,
            "E_heater" => warm.Energy!.Value.Value,
            "E_stored" => warm.Stored!.Value.Value,
            "E_lost" => warm.Lost!.Value.Value,
            _ => throw new InvalidOperationException($"No output for {row}"),
        };
    }

    private static double Thermostat(PublishedRow row)
    {
        double low = row.Number("Tlow_C");
        double high = row.Number("Thigh_C");
        double outside = row.Number("Tamb_C");
        Hold hold = Model(row).Hold(new(row.Number("P_W")), new(outside), new(low), new(high));
        return row["output"] switch
        {
            "t_on" => hold.On!.Value.TotalSeconds,
            "t_off" => hold.Off!.Value.TotalSeconds,
            "duty" => hold.Duty,
            "P_mean" => hold.Mean.Value,
            "P_steady_midband" => row.Number("UA_W_K") * (((low + high) / 2) - outside),
            "E_day" => hold.PerDay.Value,
            _ => throw new InvalidOperationException($"No output for {row}"),
        };
    }

    private static double Walls(PublishedRow row)
    {
        double[] inner = [.. row["inner_m"].Split('x').Select(part => double.Parse(part, CultureInfo.InvariantCulture))];
        var (l, w, h) = (new Metres(inner[0]), new Metres(inner[1]), new Metres(inner[2]));
        var wall = new Metres(row.Number("thick_m"));
        double k = row.Number("k_W_mK");
        return row["output"] switch
        {
            "A_inner" => BoxWalls.InnerArea(l, w, h).Value,
            "S_shape_factor" => BoxWalls.ShapeFactor(l.Value, w.Value, h.Value, wall.Value),
            "UA_conduction_only" => BoxWalls.Conduction(l, w, h, wall, k).Value,
            "UA_flat_walls_only" => k * BoxWalls.InnerArea(l, w, h).Value / wall.Value,
            "UA_with_films" => BoxWalls.WithFilms(l, w, h, wall, k, row.Number("h_in"), row.Number("h_out")).Value,
            "R_SI_wall" => wall.Value / k,
            "R_IP_wall" => wall.Value / k * 5.678263,
            _ => throw new InvalidOperationException($"No output for {row}"),
        };
    }

    // Lumped capacity of textbook bodies: C = rho V c and UA = h A, so that only ratios matter.
    private static double Textbook(string id)
    {
        const double Diameter51 = 6 * 400 * 1.0 / (8500 * 400);
        BoxModel incropera = new(new(8500 * 400 * Diameter51 / 6), new(400));
        BoxModel cengel1 = new(new(8500 * 320 * 0.001 / 6), new(210));
        double length = Math.PI * 0.15 * 0.15 * 1.7 / ((2 * Math.PI * 0.15 * 1.7) + (2 * Math.PI * 0.15 * 0.15));
        BoxModel cengel2 = new(new(996 * 4178 * length), new(8));
        return id switch
        {
            "D76" => Diameter51,
            "D77" => 400 * (Diameter51 / 6) / 20,
            "D78" => incropera.WarmUp(new(0), new(200), new(25), new(199)).Time!.Value.TotalSeconds,
            "D79" => 210 * (0.001 / 6) / 35,
            "D80" => 1 / cengel1.TauSeconds,
            "D81" => cengel1.WarmUp(new(0), new(100), new(0), new(99)).Time!.Value.TotalSeconds,
            "D82" => 8 * length / 0.617,
            "D83" => 1 / cengel2.TauSeconds,
            "D84" => cengel2.CoolDown(new(20), new(37), new(25))!.Value.TotalSeconds,
            _ => throw new InvalidOperationException($"No example {id}"),
        };
    }
}
