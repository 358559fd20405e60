using KitMesh.Domain.Quantities;
using KitMesh.Models.Battery;

namespace KitMesh.Cli.Commands.Calc;

/// <summary><c>kitmesh calc pack</c>: what a pack gives at a load and a temperature.</summary>
internal sealed class CalcPackCommand : CalcVerb
{
    public override string Name => "pack";

    public override string Meaning => "Energy that a pack gives at a load and a temperature: OCV - I R(T) until the cut-off.";

    public override CalcColumn[] Inputs =>
    [
        .. PackColumns.All,
        new("soc", "State of charge, 0 to 1.", "1"),
        new("power_W", "Power drawn in W, from 0."),
    ];

    public override string[] Outputs => ["usable_Wh", "soc_left", "full_Wh", "ocv_V", "R_ohm", "cutoff_V", "charge_lower_C", "charge_upper_C", "charge_max_A", "charge_max_V"];

    public override CalcAnswer Compute(CalcRow row)
    {
        PackModel pack = PackColumns.Read(row);
        var charge = new StateOfCharge(row.Number("soc", 0, 1));
        var temperature = new Celsius(row.Number("temp_C", -60, 80));
        UsableEnergy usable = pack.Usable(charge, new Watts(row.Number("power_W", 0)), temperature);
        return new CalcAnswer(
            [
                usable.Energy.Value,
                usable.LeftAt.Value,
                pack.Energy.Value,
                pack.OpenCircuit(charge).Value,
                pack.Resistance(temperature).Value,
                pack.CutOff.Value,
                pack.Limits.Lower.Value,
                pack.Limits.Upper.Value,
                pack.Limits.MaxCurrent(temperature, temperature, pack.Pack.Capacity).Value,
                pack.Limits.MaxPackVolts(pack.Pack.Series, temperature)?.Value,
            ],
            $"Limits: {pack.Limits.Source}. Typical figures of a chemistry, not of your pack: the maker's data sheet decides. Lithium packs can burn.");
    }
}
