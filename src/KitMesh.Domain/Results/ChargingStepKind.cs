namespace KitMesh.Domain.Results;

/// <summary>What happens in one step of a charging plan.</summary>
public enum ChargingStepKind
{
    /// <summary>The device takes charge.</summary>
    Charge = 0,

    /// <summary>The device warms first (inside clothing, a sleeping bag or a warm tent); its outlet stays free meanwhile.</summary>
    Warm = 1,
}
