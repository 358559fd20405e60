namespace KitMesh.Models.Sun;

/// <summary>The topocentric intermediates of one evaluation, in degrees.</summary>
internal readonly record struct SpaLocal(
    double HourAngle,
    double DeltaAlpha,
    double AlphaPrime,
    double DeltaPrime,
    double HourAnglePrime,
    double E0,
    double DeltaE,
    double E,
    double AzimuthFromNorth);
