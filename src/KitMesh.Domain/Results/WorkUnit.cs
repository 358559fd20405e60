namespace KitMesh.Domain.Results;

/// <summary>In what a device's work is counted.</summary>
public enum WorkUnit
{
    /// <summary>Days of ordinary use: recorders and whatever else has no better unit.</summary>
    Days = 0,

    /// <summary>Hours of running, where its running power was measured: cameras.</summary>
    Hours = 1,

    /// <summary>Flights of one battery each.</summary>
    Flights = 2,

    /// <summary>Share of a phone's battery a person and day.</summary>
    PhoneShare = 3,
}
