using KitMesh.Domain.Quantities;

namespace KitMesh.Models.Sky;

/// <summary>A sky with clouds, told by its clear-sky index: global over what the cloudless sky would give.</summary>
public static class CloudySky
{
    /// <summary>Irradiance at a clear-sky index.</summary>
    /// <param name="clear">The cloudless sky.</param>
    /// <param name="index">Clear-sky index from 0; broken cloud can lift it to about 1.2 for minutes, not for hours.</param>
    /// <param name="elevation">Apparent elevation of the sun.</param>
    /// <param name="extraterrestrial">Sunlight outside the air, facing the sun.</param>
    /// <returns>Parts that sum to index times the clear global.</returns>
    /// <remarks>
    /// The diffuse share follows Erbs (1982), scaled so that it meets the cloudless model's own share at index 1: the scaling is our own choice, so that the
    /// result is continuous in the index. Global never passes extraterrestrial.
    /// </remarks>
    public static Irradiance At(Irradiance clear, double index, Degrees elevation, WattsPerSquareMetre extraterrestrial)
    {
        double cosZenith = Math.Sin(elevation.Radians);
        if (cosZenith <= 0 || clear.Global.Value <= 0)
        {
            return Irradiance.None;
        }

        double top = extraterrestrial.Value * cosZenith;
        double global = Math.Min(index * clear.Global.Value, top);
        double beamShareClear = 1 - (clear.Diffuse.Value / clear.Global.Value);
        double erbsClear = 1 - Erbs.DiffuseShare(Math.Min(1, clear.Global.Value / top));
        double erbs = 1 - Erbs.DiffuseShare(Math.Min(1, global / top));
        double beamShare = Math.Clamp(erbsClear > 1e-9 ? erbs * beamShareClear / erbsClear : 0, 0, 1);
        double direct = Math.Min(global * beamShare / cosZenith, extraterrestrial.Value);
        return new Irradiance(new(global), new(direct), new(global - (direct * cosZenith)));
    }
}
