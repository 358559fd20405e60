using KitMesh.Domain.Kit;
using KitMesh.Domain.Quantities;
using KitMesh.Models.Battery;

namespace KitMesh.Outlook.Charging;

/// <summary>One device that wants charge tonight, in plain numbers. Times in hours from now, energy in Wh into its battery.</summary>
/// <param name="Load">The device.</param>
/// <param name="NeedWh">What its battery lacks.</param>
/// <param name="Weight">Worth of a Wh in it.</param>
/// <param name="ReadyH">When it may take charge: later than 0 for a device that must warm first.</param>
/// <param name="ChargerWatts">Power that it takes at the plug.</param>
/// <param name="Charge">State of charge now; null when unknown.</param>
/// <param name="WarmReason">Why it must warm first; null when it need not.</param>
internal sealed record ChargeJob(Load Load, double NeedWh, double Weight, double ReadyH, double ChargerWatts, double? Charge, string? WarmReason)
{
    /// <summary>Share of the plug's energy that ends up in a device's battery. Common practice, no published source.</summary>
    internal const double Efficiency = 0.9;

    // A lithium cell as a straight line from 3.4 V to its limit, for the closed form of ChargeTime. Own choice: near enough for a list by headlamp.
    private const double EmptyVolts = 3.4;
    private const double LimitVolts = 4.2;
    private const double MeanVolts = 3.7;

    /// <summary>Mean Wh an hour from where the battery is to full: the constant-voltage phase of a lithium battery takes its time, that of LFP, nickel and lead hardly shows at a device's current.</summary>
    /// <param name="wattsIn">Power into the battery before it tapers.</param>
    internal double MeanRate(double wattsIn)
    {
        if (!(wattsIn > 0) || Load.Battery is not { Value: > 0 } battery || Load.Chemistry is Chemistry.Lfp or Chemistry.NiMh or Chemistry.LeadAcid)
        {
            return wattsIn;
        }

        var charge = new AmpereHours(battery.Value / MeanVolts);
        Ohms resistance = new PackModel(new Pack(Load.Id, null, Load.Chemistry, 1, charge, null, null, null, null, null)).ResistanceAt25;
        var from = new StateOfCharge(Math.Clamp(Charge ?? (1 - (NeedWh / battery.Value)), 0, 1));
        ChargeTime time = ChargeTime.Linear(
            charge, new Volts(EmptyVolts), new Volts(LimitVolts - EmptyVolts), resistance, new Amperes(wattsIn / MeanVolts), new Volts(LimitVolts), new Amperes(charge.Value / 20), from);
        double hours = time.Total.TotalHours;
        return hours > 0 ? Math.Min(wattsIn, (time.AtEnd.Value - from.Value) * battery.Value / hours) : wattsIn;
    }

    internal bool IsLifeSafety => Load.Class == LoadClass.LifeSafety;
}
