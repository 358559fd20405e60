namespace KitMesh.Models.Sun;

/// <summary>Every intermediate of one evaluation, named as in the report, in degrees unless said otherwise.</summary>
internal readonly record struct SpaState(
    double Jd,
    double Jde,
    double Jc,
    double Jce,
    double Jme,
    double L,
    double B,
    double R,
    double Theta,
    double Beta,
    double X0,
    double X1,
    double X2,
    double X3,
    double X4,
    double DeltaPsi,
    double DeltaEpsilon,
    double Epsilon0ArcSeconds,
    double Epsilon,
    double DeltaTau,
    double Lambda,
    double Nu0,
    double Nu,
    double Alpha,
    double Delta)
{
    /// <summary>Equatorial horizontal parallax of the sun, equation 33.</summary>
    public double Xi => 8.794 / (3600 * R);
}
