namespace KitMesh.Devices.PowerController;

/// <summary>Which sign a device gives a charging current.</summary>
public enum CurrentSign
{
    /// <summary>Not told: only the device's own charge state decides; where it is silent the current is not reported.</summary>
    ByState = 0,

    /// <summary>Positive charges.</summary>
    ChargePositive = 1,

    /// <summary>Positive discharges.</summary>
    DischargePositive = 2,
}
