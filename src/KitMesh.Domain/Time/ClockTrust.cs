namespace KitMesh.Domain.Time;

/// <summary>How far a wall clock can be believed, worst first. A higher rank overrules a lower one in re-timing.</summary>
public enum ClockTrust
{
    /// <summary>Nothing is known; a dead clock looks like this.</summary>
    Unknown = 0,

    /// <summary>A battery-backed clock that nobody has checked on this trip.</summary>
    HardwareClock = 1,

    /// <summary>A person set or confirmed it.</summary>
    PersonSet = 2,

    /// <summary>A phone that had a network on this trip.</summary>
    NetworkSet = 3,

    /// <summary>A satellite receiver with a fix.</summary>
    SatelliteFix = 4,
}
