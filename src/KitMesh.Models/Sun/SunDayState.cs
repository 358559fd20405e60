namespace KitMesh.Models.Sun;

/// <summary>What the sun does around one local noon.</summary>
public enum SunDayState
{
    /// <summary>It rises and sets.</summary>
    Normal = 0,

    /// <summary>It does not set.</summary>
    PolarDay = 1,

    /// <summary>It does not rise.</summary>
    PolarNight = 2,
}
