using KitMesh.Domain.Kit;
using KitMesh.Domain.Planning;
using KitMesh.Domain.Reports;
using KitMesh.Footage.Ledger;
using NodaTime;

namespace KitMesh.Outlook.Learning;

/// <summary>Evidence on footage and on failures from one trip.</summary>
/// <remarks>A day without a clip is a day of zero. Failed copies are events of a Poisson process: their rate is events over days.</remarks>
internal static class SourceEvidence
{
    private const double LeastRelative = 0.03;

    internal static IEnumerable<TripEvidence> Of(string name, Holdings holdings, LocalDate today)
    {
        if (holdings.Trip is not { } trip)
        {
            yield break;
        }

        LocalDate last = today > trip.LastDay ? trip.LastDay.PlusDays(1) : today;
        int days = Math.Max(0, Period.DaysBetween(trip.FirstDay, last));
        foreach (FootageSource source in holdings.Sources.OrderBy(source => source.Id))
        {
            double[] shot = [.. holdings.Shot.Where(day => day.Source == source.Id && day.Day >= trip.FirstDay && day.Day < last).Select(day => day.Size.Gigabytes)];
            if (shot.Length == 0 || days == 0)
            {
                continue;
            }

            double mean = shot.Sum() / days;
            double declaredSd = Math.Max(0.02, source.Spread) * source.GigabytesPerDay;
            double squares = shot.Sum(one => (one - mean) * (one - mean)) + ((days - shot.Length) * mean * mean);
            double variance = (squares + (4 * declaredSd * declaredSd)) / (days + 4);
            yield return new TripEvidence(
                name, source.Id, LearntFigure.SourcePerDay, "source", "GB/d", source.GigabytesPerDay, mean,
                Math.Max(LeastRelative * mean, Math.Sqrt(variance / days)), Math.Sqrt(variance), days, "days");
        }
    }

    internal static IEnumerable<TripEvidence> Failures(string name, IEnumerable<Drive> drives, IReadOnlyDictionary<KitId, int> failed, int days)
    {
        foreach (Drive drive in drives.Where(_ => days > 0).OrderBy(drive => drive.Id))
        {
            int count = failed.GetValueOrDefault(drive.Id);
            yield return new TripEvidence(
                name, drive.Id, LearntFigure.Failures, "drive", "1/d", 0, count / (double)days, Math.Sqrt(count + 0.5) / days, null, days, "days");
        }
    }
}
