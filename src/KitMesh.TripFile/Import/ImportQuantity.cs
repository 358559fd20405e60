namespace KitMesh.TripFile.Import;

/// <summary>What a column of a logger can measure. The names stand in files: add, never rename.</summary>
public enum ImportQuantity
{
    /// <summary>Terminal voltage of a pack or bank, V.</summary>
    PackVolts = 0,

    /// <summary>Its current, A; positive charges.</summary>
    PackAmperes = 1,

    /// <summary>Its power, W; positive charges.</summary>
    PackWatts = 2,

    /// <summary>Its state of charge.</summary>
    PackCharge = 3,

    /// <summary>A probe on its cells, °C.</summary>
    PackTemperature = 4,

    /// <summary>Power of a panel, W.</summary>
    PanelWatts = 5,

    /// <summary>Energy counter of a panel's controller, Wh.</summary>
    PanelEnergy = 6,

    /// <summary>Power of a load, W.</summary>
    LoadWatts = 7,

    /// <summary>Energy counter of a load, Wh.</summary>
    LoadEnergy = 8,

    /// <summary>Air at a place, or in a box, °C.</summary>
    Temperature = 9,
}
