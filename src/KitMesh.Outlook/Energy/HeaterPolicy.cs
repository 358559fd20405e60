namespace KitMesh.Outlook.Energy;

/// <summary>When the box heater may run.</summary>
internal enum HeaterPolicy
{
    /// <summary>Its thermostat is left on day and night.</summary>
    Always = 0,

    /// <summary>Switched on so that the cells are warm when the sun comes, and off after it.</summary>
    ForTheSun = 1,

    /// <summary>Never.</summary>
    Off = 2,
}
