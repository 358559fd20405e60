namespace KitMesh.Domain.Planning;

/// <summary>Which figure of the kit was learnt. The names stand in files: add, never rename.</summary>
public enum LearntFigure
{
    /// <summary>Energy a day that a load takes, Wh.</summary>
    LoadPerDay = 0,

    /// <summary>Share of a panel's power that is left after cable, controller, dirt and angle.</summary>
    PanelDerate = 1,

    /// <summary>UA of a box, W/K.</summary>
    BoxLoss = 2,

    /// <summary>C of a box, J/K.</summary>
    BoxCapacity = 3,

    /// <summary>Decimal gigabytes a day of a camera or recorder.</summary>
    SourcePerDay = 4,

    /// <summary>Failed copies of a drive, a day.</summary>
    Failures = 5,
}
