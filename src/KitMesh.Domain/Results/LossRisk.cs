using NodaTime;

namespace KitMesh.Domain.Results;

/// <summary>The chance that footage is lost by a date.</summary>
/// <param name="From">The moment of the question.</param>
/// <param name="Until">The date's end: the last day or the handover.</param>
/// <param name="AnyLost">The chance that at least one clip is lost.</param>
/// <param name="AnyLostIsExact">False when there are too many drives for exact counting and <paramref name="AnyLost"/> is a proven bound.</param>
/// <param name="ExpectedHoursLost">Running time lost on average.</param>
/// <param name="Days">By day and team.</param>
/// <param name="Worst">Groups of clips with the same copies, the worst first.</param>
/// <param name="Assumes">What the odds rest on: each figure with its source and date, in words.</param>
public sealed record LossRisk(
    Instant From,
    Instant Until,
    ChanceRange AnyLost,
    bool AnyLostIsExact,
    double ExpectedHoursLost,
    ValueList<DayRisk> Days,
    ValueList<ClipRisk> Worst,
    ValueList<string> Assumes);
