using KitMesh.Domain.Quantities;
using KitMesh.Models.Battery;

namespace KitMesh.Cli.Commands.Calc;

/// <summary><c>kitmesh calc charge</c>: how long a charge takes, if it is allowed.</summary>
internal sealed class CalcChargeCommand : CalcVerb
{
    public override string Name => "charge";

    public override string Meaning => "Time of a constant-current, constant-voltage charge at a temperature, with the current that its zone allows.";

    public override CalcColumn[] Inputs =>
    [
        .. PackColumns.All,
        new("soc_from", "State of charge at the start, 0 to 1."),
        new("soc_to", "State of charge to reach, 0 to 1.", "1"),
        new("current_A", "Current of the charger in A, above 0."),
    ];

    public override string[] Outputs => ["allowed", "max_A", "cc_h", "cv_h", "total_h", "soc_end", "reason"];

    public override CalcAnswer Compute(CalcRow row)
    {
        PackModel pack = PackColumns.Read(row);
        var temperature = new Celsius(row.Number("temp_C", -60, 80));
        var from = new StateOfCharge(row.Number("soc_from", 0, 1));
        var to = new StateOfCharge(row.Number("soc_to", 0, 1));
        double most = pack.Limits.MaxCurrent(temperature, temperature, pack.Pack.Capacity).Value;
        double charger = row.Positive("current_A");
        ChargeTime? time = ChargeTime.Of(pack, from, to, new Amperes(charger), temperature);
        string? reason = Reason(pack, temperature, most, charger, time, alreadyThere: to.Value <= from.Value);
        return new CalcAnswer(
            [most > 0, most, time?.ConstantCurrent.TotalHours, time?.ConstantVoltage.TotalHours, time?.Total.TotalHours, time?.AtEnd.Value, reason],
            "Charging below the cell maker's limit ruins cells and can start a fire later. The maker's data sheet decides.",
            most <= 0);
    }

    private static string? Reason(PackModel pack, Celsius temperature, double most, double charger, ChargeTime? time, bool alreadyThere) =>
        most <= 0
            ? FormattableString.Invariant($"no charge at {temperature.Value:0.0} °C: allowed is {pack.Limits.Lower.Value:0} to {pack.Limits.Upper.Value:0} °C ({pack.Limits.Source})")
            : alreadyThere ? "already there: soc_to is not above soc_from"
            : time is null ? "the chemistry is not known, so neither is the end voltage: use the maker's charger"
            : charger > most
                ? FormattableString.Invariant($"the charger is too strong at {temperature.Value:0.0} °C: set it to {most:0.0} A or less, which these times take ({pack.Limits.Source})")
                : null;
}
