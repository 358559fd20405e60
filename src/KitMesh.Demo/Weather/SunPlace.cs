namespace KitMesh.Demo.Weather;

/// <summary>Where the sun stands.</summary>
/// <param name="HeightDegrees">Above level; negative at night.</param>
/// <param name="HeadingDegrees">Clockwise from north.</param>
/// <param name="SolarHour">Hour of the solar day, 12 when it is highest.</param>
public readonly record struct SunPlace(double HeightDegrees, double HeadingDegrees, double SolarHour);
