using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using NodaTime;

namespace KitMesh.Domain.Results;

/// <summary>One day of a weather forecast that somebody typed in.</summary>
/// <param name="Place">Where.</param>
/// <param name="Day">The day.</param>
/// <param name="ClearSkyShare">Expected share of the clear-sky energy, from 0 to 1.</param>
/// <param name="Night">Expected lowest temperature; null when not told.</param>
/// <param name="DayTime">Expected highest temperature; null when not told.</param>
/// <param name="Trust">How far it counts against climate and persistence: 0 not at all, 1 wholly.</param>
public sealed record SkyForecast(KitId Place, LocalDate Day, double ClearSkyShare, Celsius? Night, Celsius? DayTime, double Trust);
