using KitMesh.Models.Box;

namespace KitMesh.Cli.Commands.Calc;

/// <summary><c>kitmesh calc warm</c>: how long and how much heat a box needs.</summary>
internal sealed class CalcWarmCommand : CalcVerb
{
    public override string Name => "warm";

    public override string Meaning => "Time and heat to warm a box, and whether its heater can get there at all (one lump: C dT/dt = P - UA (T - Ta)).";

    public override CalcColumn[] Inputs =>
    [
        new("C_J_K", "Heat capacity of the content in J/K, above 0."),
        new("UA_W_K", "Heat loss in W/K, from 0."),
        new("P_W", "Heater power in W, from 0."),
        new("Tamb_C", "Temperature outside in °C."),
        new("T0_C", "Temperature now in °C."),
        new("T1_C", "Temperature to reach in °C."),
    ];

    public override string[] Outputs => ["reachable", "tau_s", "T_equilibrium_C", "t_s", "energy_Wh", "stored_Wh", "lost_Wh"];

    public override CalcAnswer Compute(CalcRow row)
    {
        var box = new BoxModel(new(row.Positive("C_J_K")), new(row.Number("UA_W_K", 0)));
        double to = row.Number("T1_C", -273.15, 1_000);
        WarmUp warm = box.WarmUp(
            new(row.Number("P_W", 0)), new(row.Number("Tamb_C", -273.15, 1_000)), new(row.Number("T0_C", -273.15, 1_000)), new(to));
        string words = warm.Reachable
            ? "Cores lag behind the box and heater pads make hot spots; never warm packs over a flame. The maker's limits decide."
            : FormattableString.Invariant($"It never gets there: with the heater on for ever it ends at {warm.Equilibrium.Value:0.0} °C.");
        return new CalcAnswer(
            [
                warm.Reachable, Finite(warm.TauSeconds), Finite(warm.Equilibrium.Value), warm.Time?.TotalSeconds, warm.Energy?.Value, warm.Stored?.Value, warm.Lost?.Value,
            ],
            words,
            !warm.Reachable);
    }

    private static double? Finite(double value) => double.IsFinite(value) ? value : null;
}
