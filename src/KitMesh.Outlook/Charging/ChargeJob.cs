using KitMesh.Domain.Kit;

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

    internal bool IsLifeSafety => Load.Class == LoadClass.LifeSafety;
}
