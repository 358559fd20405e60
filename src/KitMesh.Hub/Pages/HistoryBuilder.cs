using KitMesh.Hub.Ingest;
using KitMesh.Hub.Views;
using KitMesh.Storage;
using KitMesh.Storage.RollUps;
using NodaTime;

namespace KitMesh.Hub.Pages;

// Problem: four weeks of twenty sensors are some hundred thousand readings, and a chart of them must be there at once.
// Method: the store keeps roll-ups by the hour (time-weighted means), so that a chart reads a few hundred rows a line, whatever
// the sensors' pace was. All lines share one row of hours, so that they can be drawn and read out together.

/// <summary>Gathers the readings of a chart from the roll-ups.</summary>
internal sealed class HistoryBuilder(TripView trip, StoreKeeper keeper)
{
    /// <summary>The page.</summary>
    public async Task<HistoryModel> HistoryAsync(HistoryAsked asked, CancellationToken cancellation) =>
        await ModelAsync(asked, trip.Now, cancellation).ConfigureAwait(false);

    /// <summary>The readings alone.</summary>
    public Task<HistoryChart> ChartAsync(HistoryAsked asked, CancellationToken cancellation) => ChartAsync(asked, trip.Now, cancellation);

    private async Task<HistoryModel> ModelAsync(HistoryAsked asked, Instant now, CancellationToken cancellation) =>
        new(PageHeads.Of(trip.Merged.State, now), asked, await ChartAsync(asked, now, cancellation).ConfigureAwait(false));

    private async Task<HistoryChart> ChartAsync(HistoryAsked asked, Instant now, CancellationToken cancellation)
    {
        long until = (now.ToUnixTimeSeconds() / 3600) + 1;
        int hours = asked.Days * 24;
        long first = until - hours;
        try
        {
            IReadOnlyList<SeriesKey> all = await keeper.Store.ListSeriesAsync(cancellation).ConfigureAwait(false);
            (SeriesKey Key, HistoryPart Part)[] wanted = [.. asked.Subject.Parts.SelectMany(part => all.Where(key => key.Quantity == part.Quantity).Select(key => (key, part)))];
            List<HistoryLine> lines = [];
            foreach ((SeriesKey key, HistoryPart part) in wanted)
            {
                if (lines.Count == HistoryChart.MostLines)
                {
                    break;
                }

                IReadOnlyList<RollUp> buckets = await keeper.Store
                    .ReadRollUpsAsync(new RollUpQuery(key, RollUpSpan.Hour, Instant.FromUnixTimeSeconds(first * 3600), Instant.FromUnixTimeSeconds(until * 3600)), cancellation)
                    .ConfigureAwait(false);
                if (buckets.Count > 0)
                {
                    lines.Add(Line(Name(key, part), buckets, asked.Subject, first, hours, now));
                }
            }

            return new HistoryChart(first * 3600, hours, lines, lines.Count == HistoryChart.MostLines ? wanted.Length - lines.Count : 0, null);
        }
        catch (StoreFaultedException)
        {
            return new HistoryChart(first * 3600, hours, [], 0, "The store is being rebuilt from the journal. Nothing is lost; look again in a minute.");
        }
    }

    private static string Name(SeriesKey key, HistoryPart part) =>
        string.Join(", ", new[] { key.Item.Value, part.Words, key.Sensor }.Where(words => words.Length > 0).Distinct());

    private static HistoryLine Line(string name, IReadOnlyList<RollUp> buckets, HistorySubject subject, long first, int hours, Instant now)
    {
        double?[] means = new double?[hours];
        foreach (RollUp bucket in buckets)
        {
            long place = (bucket.Start.ToUnixTimeSeconds() / 3600) - first;
            if (place >= 0 && place < hours)
            {
                means[place] = Math.Round(subject.Shown(bucket.Mean), 2);
            }
        }

        Instant lastEnd = buckets[^1].Start + Duration.FromHours(1);
        return new HistoryLine(
            name,
            means,
            subject.Shown(buckets.Min(bucket => bucket.Min)),
            subject.Shown(buckets.Average(bucket => bucket.Mean)),
            subject.Shown(buckets.Max(bucket => bucket.Max)),
            subject.Shown(buckets[^1].Last),
            Instant.Min(lastEnd, now));
    }
}
