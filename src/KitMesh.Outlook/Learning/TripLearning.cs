using KitMesh.Domain;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Planning;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using KitMesh.Footage.Ledger;
using NodaTime;
using NodaTime.Text;

namespace KitMesh.Outlook.Learning;

/// <summary>What one trip teaches of its kit, and what several together say.</summary>
public static class TripLearning
{
    /// <summary>How evidence names a trip: by its name and first day, so that next year's of the same name is another.</summary>
    /// <param name="trip">The trip.</param>
    public static string NameOf(Trip trip)
    {
        ArgumentNullException.ThrowIfNull(trip);
        return $"{trip.Id} {LocalDatePattern.Iso.Format(trip.FirstDay)}";
    }

    /// <summary>The evidence of one trip.</summary>
    /// <param name="kit">Its declared kit with exactly one trip.</param>
    /// <param name="readings">Every reading.</param>
    /// <param name="footage">What the ledger holds; null without.</param>
    /// <param name="failedCopies">Failed copies by drive.</param>
    /// <param name="now">When the newest report was written.</param>
    public static ValueList<TripEvidence> Of(
        ValueList<KitItem> kit, ValueList<TimedReading> readings, Holdings? footage, IReadOnlyDictionary<KitId, int> failedCopies, Instant now)
    {
        ArgumentNullException.ThrowIfNull(kit);
        ArgumentNullException.ThrowIfNull(readings);
        Trip trip = kit.OfType<Trip>().Single();
        string name = NameOf(trip);
        LocalDate today = now.WithOffset(trip.ZoneOffset).Date;
        int days = Math.Max(0, Period.DaysBetween(trip.FirstDay, LocalDate.Min(today, trip.LastDay)) + 1);
        return EnergyEvidence.Of(kit, readings, now).Select(one => one with { Trip = name })
            .Concat(footage is null ? [] : SourceEvidence.Of(name, footage, today))
            .Concat(footage is null || footage.Shot.Count == 0 ? [] : SourceEvidence.Failures(name, kit.OfType<Drive>(), failedCopies, days))
            .ToValueList();
    }

    /// <summary>What evidence of any number of trips says together. The same trip told twice counts once, as told last.</summary>
    /// <param name="evidence">Evidence, oldest first.</param>
    public static LearntKit Pool(IEnumerable<TripEvidence> evidence)
    {
        TripEvidence[] all = [.. evidence.GroupBy(one => (one.Trip, one.Item, one.Figure)).Select(group => group.Last())];
        var posteriors = new List<KitPosterior>();
        var kinds = new List<KindPosterior>();
        foreach (var kind in all.Where(one => one.Figure != LearntFigure.Failures && one.Value > 0 && one.Declared > 0 && one.Doubt > 0).GroupBy(one => (one.Figure, one.Kind)).OrderBy(group => group.Key.Figure).ThenBy(group => group.Key.Kind, StringComparer.Ordinal))
        {
            (KindPosterior common, IEnumerable<KitPosterior> items) = KindPooling.Of(kind.Key.Kind, kind.Key.Figure, [.. kind]);
            kinds.Add(common);
            posteriors.AddRange(items);
        }

        posteriors.AddRange(FailureRates.Of([.. all.Where(one => one.Figure == LearntFigure.Failures)]));
        return new LearntKit(all.ToValueList(), posteriors.ToValueList(), kinds.ToValueList());
    }
}
