using KitMesh.Domain.Quantities;
using KitMesh.Models.Battery;
using KitMesh.Tests.Published;
using NodaTime;

namespace KitMesh.Tests.Models.Battery;

/// <summary>battery.csv: circuit examples in closed form (two of them confirmed by time stepping), Peukert, Arrhenius, watt-hours.</summary>
public sealed class BatteryTableTests
{
    private static readonly PublishedTable Table = PublishedTable.Load("battery.csv");

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
        "parallel_packs" => Parallel(row),
        "parallel_equalise_linear_OCV" => Settle(row),
        "cccv_linear_OCV" => Charge(row),
        "peukert" => PeukertRow(row),
        "arrhenius_R" => ResistanceCurve.Arrhenius(new(row.Number("R25_ohm")), row.Number("Ea_J_mol"), new(row.Number("T_C"))).Value,
        "watt_hours" => row.Number("mAh") / 1000 * row.Number("Vnom"),
        _ => throw new InvalidOperationException($"No model for {row}"),
    };

    private static double Parallel(PublishedRow row)
    {
        // The lead is shared out half to each pack, so that the bus is its middle.
        double half = row.Number("Rlead_ohm") / 2;
        ParallelAnswer answer = ParallelNetwork.Solve(
        [
            new ParallelPack(new(row.Number("V1")), new(row.Number("R1_ohm") + half), null),
            new ParallelPack(new(row.Number("V2")), new(row.Number("R2_ohm") + half), null),
        ]);
        Assert.Equal(ParallelVerdict.DoNotJoin, answer.Verdict);
        return row["output"] switch
        {
            "I_initial" => answer.Currents[0].Value,
            "V_bus" => answer.Bus.Value,
            "P_loss_initial" => answer.Heat.Value,
            _ => throw new InvalidOperationException($"No output for {row}"),
        };
    }

    private static double Settle(PublishedRow row)
    {
        (double tau, Volts final, AmpereHours moved, WattHours heat) = ParallelNetwork.Settle(
            new(row.Number("V1")),
            new(row.Number("V2")),
            new(row.Number("Q1_Ah")),
            new(row.Number("Q2_Ah")),
            new(row.Number("slope1_V")),
            new(row.Number("slope2_V")),
            new(row.Number("Rtotal_ohm")));
        return row["output"] switch
        {
            "tau" => tau,
            "V_final" => final.Value,
            "Q_moved" => moved.Value,
            "E_heat" => heat.Value,
            _ => throw new InvalidOperationException($"No output for {row}"),
        };
    }

    private static double Charge(PublishedRow row)
    {
        double capacity = row.Number("Q_Ah");
        ChargeTime time = ChargeTime.Linear(
            new(capacity), new(3), new(1.2), new(row.Number("R_ohm")), new(row.Number("I_A")), new(row.Number("Vmax")), new(row.Number("Icut_A")), new(row.Number("soc0")));
        return row["output"] switch
        {
            "soc_end_CC" => time.AfterCurrent.Value,
            "t_CC" => time.ConstantCurrent.TotalHours,
            "tau_CV" => row.Number("R_ohm") * capacity / 1.2,
            "t_CV" => time.ConstantVoltage.TotalHours,
            "Q_CV" => (time.AtEnd.Value - time.AfterCurrent.Value) * capacity,
            "soc_end" => time.AtEnd.Value,
            "t_total" => time.Total.TotalHours,
            _ => throw new InvalidOperationException($"No output for {row}"),
        };
    }

    private static double PeukertRow(PublishedRow row)
    {
        var capacity = new AmpereHours(row.Number("C_Ah"));
        Duration rated = Duration.FromHours(row.Number("H_h"));
        var current = new Amperes(row.Number("I_A"));
        double hours = Peukert.Time(capacity, rated, current, row.Number("k")).TotalHours;
        return row["output"] == "t" ? hours : hours * current.Value;
    }
}
