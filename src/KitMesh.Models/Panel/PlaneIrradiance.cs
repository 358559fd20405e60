using KitMesh.Domain.Quantities;

namespace KitMesh.Models.Panel;

/// <summary>Sunlight on a tilted plane by where it comes from.</summary>
/// <param name="Beam">From the sun's disc.</param>
/// <param name="Sky">From the rest of the sky.</param>
/// <param name="Ground">Thrown back by the ground.</param>
public readonly record struct PlaneIrradiance(WattsPerSquareMetre Beam, WattsPerSquareMetre Sky, WattsPerSquareMetre Ground)
{
    /// <summary>All of it.</summary>
    public WattsPerSquareMetre Total => new(Beam.Value + Sky.Value + Ground.Value);
}
