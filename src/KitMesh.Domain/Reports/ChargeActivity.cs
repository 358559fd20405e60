namespace KitMesh.Domain.Reports;

/// <summary>What a device with a battery of its own is doing.</summary>
public enum ChargeActivity
{
    /// <summary>The device does not say.</summary>
    Unknown = 0,

    /// <summary>It takes charge.</summary>
    Charging = 1,

    /// <summary>It runs from its battery.</summary>
    Discharging = 2,

    /// <summary>It is full.</summary>
    Full = 3,

    /// <summary>It is plugged in and takes no charge (too cold, for example).</summary>
    PluggedNotCharging = 4,
}
