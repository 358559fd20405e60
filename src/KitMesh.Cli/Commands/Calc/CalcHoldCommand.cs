using KitMesh.Models.Box;

namespace KitMesh.Cli.Commands.Calc;

/// <summary><c>kitmesh calc hold</c>: what it costs to keep a box warm.</summary>
internal sealed class CalcHoldCommand : CalcVerb
{
    public override string Name => "hold";

    public override string Meaning => "Cycle and mean power of a thermostat that holds a box between two temperatures.";

    public override CalcColumn[] Inputs =>
    [
        new("C_J_K", "Heat capacity of the content in J/K, above 0."),
        new("UA_W_K", "Heat loss in W/K, from 0."),
        new("P_W", "Heater power in W, from 0."),
        new("Tamb_C", "Temperature outside in °C."),
        new("TL_C", "The heater starts below this, in °C."),
        new("TH_C", "The heater stops above this, in °C."),
    ];

    public override string[] Outputs => ["t_on_s", "t_off_s", "duty", "mean_W"];

    public override CalcAnswer Compute(CalcRow row)
    {
        double low = row.Number("TL_C", -273.15, 1_000);
        double high = row.Number("TH_C", -273.15, 1_000);
        if (high <= low)
        {
            throw new CalcException("TH_C must lie above TL_C");
        }

        var box = new BoxModel(new(row.Positive("C_J_K")), new(row.Number("UA_W_K", 0)));
        Hold hold = box.Hold(new(row.Number("P_W", 0)), new(row.Number("Tamb_C", -273.15, 1_000)), new(low), new(high));
        bool never = hold.On is null;
        string? words = never ? "The heater never reaches the upper temperature and stays on."
            : hold.Off is null ? "It is warm enough outside: the heater does not come on." : null;
        return new CalcAnswer([hold.On?.TotalSeconds, hold.Off?.TotalSeconds, hold.Duty, hold.Mean.Value], words, never);
    }
}
