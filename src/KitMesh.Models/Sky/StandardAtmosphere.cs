using KitMesh.Domain.Quantities;

namespace KitMesh.Models.Sky;

/// <summary>Air pressure by height.</summary>
public static class StandardAtmosphere
{
    /// <summary>Pressure in the standard atmosphere.</summary>
    /// <param name="height">Height above the sea, from -500 to 11,000 m.</param>
    /// <remarks>
    /// p = 100 ((44331.514 - h) / 11880.516)^(1/0.1902632) Pa. Source: Portland State Aerospace Society, "A Quick Derivation
    /// relating altitude to air pressure", 2004, with the constants of the U.S. Standard Atmosphere 1976. Weather moves the true pressure by about 3 %.
    /// Check: irradiance-checks.csv, rows alt2pres.
    /// </remarks>
    public static Hectopascals PressureAt(Metres height) =>
        new(Math.Pow((44331.514 - height.Value) / 11880.516, 1 / 0.1902632));
}
