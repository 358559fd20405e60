using KitMesh.Domain.Quantities;

namespace KitMesh.Models.Sky;

/// <summary>Sunlight at the ground. Global = direct times the sine of the sun's elevation + diffuse.</summary>
/// <param name="Global">On a level plane, all of it.</param>
/// <param name="Direct">From the sun's disc, on a plane that faces it.</param>
/// <param name="Diffuse">From the rest of the sky, on a level plane.</param>
public readonly record struct Irradiance(WattsPerSquareMetre Global, WattsPerSquareMetre Direct, WattsPerSquareMetre Diffuse)
{
    /// <summary>Night.</summary>
    public static readonly Irradiance None = new(new(0), new(0), new(0));
}
