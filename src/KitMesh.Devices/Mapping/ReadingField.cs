namespace KitMesh.Devices.Mapping;

/// <summary>The fields of readings, each with the unit in which <see cref="ReadingSet"/> takes it.</summary>
internal enum ReadingField
{
    /// <summary>Volts.</summary>
    Volts,

    /// <summary>Amperes; positive charges.</summary>
    Amperes,

    /// <summary>Watts; positive charges.</summary>
    Watts,

    /// <summary>State of charge, a fraction.</summary>
    Charge,

    /// <summary>Degrees Celsius.</summary>
    Temperature,

    /// <summary>Volts of the lowest cell.</summary>
    LowestCell,

    /// <summary>Volts of the highest cell.</summary>
    HighestCell,

    /// <summary>Watt-hours.</summary>
    Energy,

    /// <summary>Hours.</summary>
    Hours,
}
