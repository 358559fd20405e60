namespace KitMesh.Domain.Planning;

/// <summary>What a piece of gear is, as far as planning cares.</summary>
public enum GearKind
{
    /// <summary>It only weighs something.</summary>
    Other = 0,

    /// <summary>Charges what fits it.</summary>
    Charger = 1,

    /// <summary>Joins what fits it.</summary>
    Cable = 2,

    /// <summary>Reads cards.</summary>
    Reader = 3,

    /// <summary>A battery carried loose, for the air rules.</summary>
    SpareBattery = 4,

    /// <summary>A battery that charges other devices, for the air rules.</summary>
    PowerBank = 5,
}
