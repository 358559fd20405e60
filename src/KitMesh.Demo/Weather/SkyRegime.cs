namespace KitMesh.Demo.Weather;

/// <summary>What the sky does for hours or days on end.</summary>
public enum SkyRegime
{
    /// <summary>Blue, cold nights.</summary>
    Clear = 0,

    /// <summary>Thin cloud that comes and goes.</summary>
    Broken = 1,

    /// <summary>Grey.</summary>
    Overcast = 2,

    /// <summary>Snow and wind; nobody puts a panel out.</summary>
    Storm = 3,
}
