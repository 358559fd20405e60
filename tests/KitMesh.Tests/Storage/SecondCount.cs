using KitMesh.Domain.Reports;
using KitMesh.Storage;
using KitMesh.Storage.RollUps;
using NodaTime;

namespace KitMesh.Tests.Storage;

/// <summary>
/// Roll-ups the slow way: which value held in each single second, by walking the seconds. It shares nothing with the store
/// but the definition: a value holds until the next reading, at most for the hold limit, and the last reading for no time.
/// </summary>
internal static class SecondCount
{
    public static List<RollUp> RollUps(IReadOnlyList<IncomingReport> reports, RollUpSpan span, Duration holdLimit)
    {
        long bucketSeconds = (long)span.Length().TotalSeconds;
        long limit = (long)holdLimit.TotalSeconds;
        List<(long Second, double Value)> readings =
        [
            .. reports.OrderBy(report => report.Timed).Select(report => (report.Timed.Time.ToUnixTimeSeconds(), ((TemperatureReading)report.Timed.Report.Body).Temperature.Value)),
        ];
        var found = new List<RollUp>();
        long first = readings[0].Second / bucketSeconds;
        long last = readings[^1].Second / bucketSeconds;
        for (long bucket = first; bucket <= last; bucket++)
        {
            if (Count(readings, bucket * bucketSeconds, bucketSeconds, limit) is { } counted)
            {
                found.Add(counted with { Start = Instant.FromUnixTimeSeconds(bucket * bucketSeconds), Span = span });
            }
        }

        return found;
    }

    private static RollUp? Count(List<(long Second, double Value)> readings, long start, long length, long limit)
    {
        var held = new List<double>();
        for (long second = start; second < start + length; second++)
        {
            int latest = readings.FindLastIndex(reading => reading.Second <= second);
            if (latest >= 0 && latest < readings.Count - 1 && second - readings[latest].Second < limit)
            {
                held.Add(readings[latest].Value);
            }
        }

        List<double> inside = [.. readings.Where(reading => reading.Second >= start && reading.Second < start + length).Select(reading => reading.Value)];
        if (held.Count + inside.Count == 0)
        {
            return null;
        }

        double[] all = [.. held, .. inside];
        double last = inside.Count > 0 ? inside[^1] : held[^1];
        return new RollUp(default, default, inside.Count, all.Min(), held.Count > 0 ? held.Average() : last, all.Max(), last, Duration.FromSeconds(held.Count));
    }
}
