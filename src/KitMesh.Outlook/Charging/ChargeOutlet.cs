using KitMesh.Domain.Kit;

namespace KitMesh.Outlook.Charging;

/// <summary>One outlet in plain numbers.</summary>
internal sealed record ChargeOutlet(Outlet Outlet)
{
    internal double LimitWatts => Math.Max(0, Outlet.Limit.Value);

    internal double FromBankPerWh => 1 / Math.Clamp(Outlet.Efficiency, 0.1, 1) / ChargeJob.Efficiency;

    /// <summary>Wh an hour into a device's battery, mean of the whole charge with its taper.</summary>
    internal double Rate(ChargeJob job) => job.MeanRate(PlugWatts(job) * ChargeJob.Efficiency);

    /// <summary>Power at the plug before it tapers.</summary>
    internal double PlugWatts(ChargeJob job) => Math.Min(job.ChargerWatts, LimitWatts);
}
