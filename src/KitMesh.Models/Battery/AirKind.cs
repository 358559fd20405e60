namespace KitMesh.Models.Battery;

/// <summary>How a battery travels.</summary>
public enum AirKind
{
    /// <summary>On its own, to power something else later.</summary>
    Spare = 0,

    /// <summary>Inside the device that it powers.</summary>
    Installed = 1,

    /// <summary>An article whose main purpose is to charge others; counts as a spare and has a count of its own.</summary>
    PowerBank = 2,
}
