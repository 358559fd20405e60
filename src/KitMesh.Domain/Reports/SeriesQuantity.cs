namespace KitMesh.Domain.Reports;

/// <summary>What the numbers of a series measure. The numbers are in the database and on the wire; they are never reused.</summary>
public enum SeriesQuantity
{
    /// <summary>Terminal voltage of a pack, in V.</summary>
    PackVolts = 1,

    /// <summary>Current of a pack, in A; positive charges it.</summary>
    PackAmperes = 2,

    /// <summary>Power of a pack, in W; positive charges it.</summary>
    PackWatts = 3,

    /// <summary>State of charge of a pack, from 0 to 1.</summary>
    PackCharge = 4,

    /// <summary>The coldest probe of a pack, in degrees Celsius.</summary>
    PackColdest = 5,

    /// <summary>The warmest probe of a pack, in degrees Celsius.</summary>
    PackWarmest = 6,

    /// <summary>A thermometer, in degrees Celsius.</summary>
    Temperature = 7,

    /// <summary>Panel voltage, in V.</summary>
    PanelVolts = 8,

    /// <summary>Panel power, in W.</summary>
    PanelWatts = 9,

    /// <summary>The controller's energy counter, in Wh.</summary>
    PanelYieldTotal = 10,

    /// <summary>State of charge of a load's own battery, from 0 to 1.</summary>
    LoadCharge = 11,

    /// <summary>Power that a load draws, in W.</summary>
    LoadWatts = 12,

    /// <summary>Counter of energy that a load drew, in Wh.</summary>
    LoadEnergyTotal = 13,

    /// <summary>Temperature of a load's own battery, in degrees Celsius.</summary>
    LoadTemperature = 14,

    /// <summary>Bytes free on a drive.</summary>
    DriveFree = 15,

    /// <summary>A drive's own thermometer, in degrees Celsius.</summary>
    DriveTemperature = 16,

    /// <summary>State of charge of the device that an agent runs on, from 0 to 1.</summary>
    AgentCharge = 17,
}
