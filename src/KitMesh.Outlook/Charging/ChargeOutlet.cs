using KitMesh.Domain.Kit;

namespace KitMesh.Outlook.Charging;

/// <summary>One outlet in plain numbers.</summary>
internal sealed record ChargeOutlet(Outlet Outlet)
{
    internal double LimitWatts => Math.Max(0, Outlet.Limit.Value);

    internal double FromBankPerWh => 1 / Math.Clamp(Outlet.Efficiency, 0.1, 1) / ChargeJob.Efficiency;

    /// <summary>Wh an hour into a device's battery.</summary>
    internal double Rate(ChargeJob job) => Math.Min(job.ChargerWatts, LimitWatts) * ChargeJob.Efficiency;
}
