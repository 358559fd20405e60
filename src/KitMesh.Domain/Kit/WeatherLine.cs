using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using NodaTime;

namespace KitMesh.Domain.Kit;

/// <summary>One day of a weather forecast that somebody wrote into the trip file or said later.</summary>
/// <param name="Place">Where.</param>
/// <param name="Day">The civil day.</param>
/// <param name="ClearSkyShare">Expected share of the clear-sky energy, from 0 to 1.</param>
/// <param name="Night">Expected lowest temperature; null when not told.</param>
/// <param name="DayTime">Expected highest temperature; null when not told.</param>
/// <param name="Trust">How far it counts against climate and persistence: 0 not at all, 1 wholly.</param>
/// <param name="Said">True when somebody said it on the way: it goes before a line of the trip file, and no trip file withdraws it.</param>
public sealed record WeatherLine(
    KitId Place, LocalDate Day, double ClearSkyShare, Celsius? Night, Celsius? DayTime, double Trust, bool Said)
    : KitItem(KitId.Parse(Said ? $"{Place} {Day:uuuu'-'MM'-'dd} said" : $"{Place} {Day:uuuu'-'MM'-'dd}"))
{
    /// <summary>The longest name of a place that leaves room for the day.</summary>
    public const int MaxPlaceLength = KitId.MaxLength - 17;

    /// <inheritdoc/>
    public override KitKind Kind => KitKind.WeatherLine;
}
