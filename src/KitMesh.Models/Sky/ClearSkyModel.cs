namespace KitMesh.Models.Sky;

/// <summary>Models of a cloudless sky.</summary>
public enum ClearSkyModel
{
    /// <summary>Bird and Hulstrom; little affected by height, safe at high camps.</summary>
    Bird = 0,

    /// <summary>Ineichen and Perez; capped above 4,000 m.</summary>
    Ineichen = 1,

    /// <summary>Haurwitz; elevation alone, no split into direct and diffuse of its own.</summary>
    Haurwitz = 2,
}
