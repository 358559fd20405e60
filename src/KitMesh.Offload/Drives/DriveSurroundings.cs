using KitMesh.Domain.Quantities;

namespace KitMesh.Offload.Drives;

/// <summary>Where drives lie when they are to be started.</summary>
/// <param name="Altitude">Height above the sea; null when not told.</param>
/// <param name="Air">Temperature of the air beside them; null when not told.</param>
/// <param name="HumidityPercent">Relative humidity of that air, above 0 to 100 %.</param>
public sealed record DriveSurroundings(Metres? Altitude, Celsius? Air, double HumidityPercent = Condensation.UnknownHumidityPercent);
