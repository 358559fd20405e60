using KitMesh.Domain.Reports;

namespace KitMesh.Domain.Results;

/// <summary>Decimal gigabytes a day of one camera or recorder.</summary>
/// <param name="Source">The camera or recorder.</param>
/// <param name="Team">Its team; null where it is not declared.</param>
/// <param name="GigabytesPerDay">What to expect of a day to come.</param>
/// <param name="Spread">Standard deviation of a day to come, in gigabytes, with what is not known about the mean.</param>
/// <param name="DaysSeen">Whole days that were learnt from.</param>
/// <param name="GigabytesSoFar">What it has shot on this trip.</param>
/// <param name="Declared">What the trip file declares; null where it does not.</param>
public sealed record SourceRate(
    KitId Source,
    KitId? Team,
    double GigabytesPerDay,
    double Spread,
    int DaysSeen,
    double GigabytesSoFar,
    double? Declared);
