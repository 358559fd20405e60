using KitMesh.Domain.Quantities;

namespace KitMesh.Models.Sky;

/// <summary>What the air holds, as Bird's model wants it.</summary>
/// <param name="Aerosol380">Aerosol optical depth at 380 nm, from 0.</param>
/// <param name="Aerosol500">Aerosol optical depth at 500 nm, from 0.</param>
/// <param name="WaterCm">Water vapour above, as centimetres of rain, from 0.</param>
/// <param name="OzoneCm">Ozone above, in atm-cm; about 0.3.</param>
/// <param name="Asymmetry">Forward scattering of the aerosol, about 0.85.</param>
/// <param name="GroundAlbedo">Share of light that the ground throws back to the sky, from 0 to 1.</param>
public readonly record struct BirdAir(
    double Aerosol380, double Aerosol500, double WaterCm, double OzoneCm, double Asymmetry, double GroundAlbedo)
{
    /// <summary>Clean, cold and dry air over snow. Typical values, own choice; no published table for a given camp.</summary>
    public static readonly BirdAir CleanCold = new(0.05, 0.03, 0.2, 0.3, 0.85, 0.8);
}
