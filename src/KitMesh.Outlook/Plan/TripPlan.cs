using KitMesh.Domain;
using KitMesh.Domain.Planning;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;

namespace KitMesh.Outlook.Plan;

/// <summary>Will this kit last for these people at this place and month.</summary>
/// <param name="Trip">The trip.</param>
/// <param name="Days">Its days.</param>
/// <param name="ShortLimit">The chance that is still good enough.</param>
/// <param name="Energy">The energy outlook from the morning of the first day, with nothing measured.</param>
/// <param name="Sums">The energy of each bank in plain sums.</param>
/// <param name="Footage">The footage outlook from the same moment, every drive empty.</param>
/// <param name="Storage">The room in plain sums.</param>
/// <param name="Nights">Charge hours a night against outlets, by bank.</param>
/// <param name="Calendar">Spans of like days, by team.</param>
/// <param name="Weights">Weight by carrier and sled.</param>
/// <param name="NoMass">Declared things whose weight nothing tells.</param>
/// <param name="Air">What the passenger rules say, by carrier.</param>
/// <param name="SinglePoints">What there is only one of.</param>
/// <param name="Spares">One more of each choice, ranked by what it saves for its weight.</param>
/// <param name="Learnt">Figures that earlier trips taught and that stand in for declared ones.</param>
/// <param name="BadNews">True when a chance is past the limit.</param>
public sealed record TripPlan(
    KitId Trip,
    int Days,
    double ShortLimit,
    EnergyOutlook Energy,
    ValueList<EnergySum> Sums,
    FootageOutlook? Footage,
    StorageSum? Storage,
    ValueList<ChargeNight> Nights,
    ValueList<CalendarSpan> Calendar,
    ValueList<CarriedWeight> Weights,
    ValueList<KitId> NoMass,
    ValueList<AirRow> Air,
    ValueList<SinglePoint> SinglePoints,
    ValueList<SpareWorth> Spares,
    ValueList<LearntUse> Learnt,
    bool BadNews)
{
    /// <summary>Which drives go home with whom, so that no bag holds all copies; empty without drives.</summary>
    public ValueList<HomeBag> WayHome { get; init; } = [];

    /// <summary>Where and when the sun does not rise; empty for most trips.</summary>
    public ValueList<SunlessSpan> Sunless { get; init; } = [];
}
