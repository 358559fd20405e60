using KitMesh.Domain.Reports;
using KitMesh.Domain.State;
using KitMesh.Hub.Ingest;
using KitMesh.Hub.Views;
using KitMesh.Storage;
using KitMesh.Storage.Days;
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
        TripState state = trip.Merged.State;
        Offset zone = PageHeads.Of(state, now).Zone;
        var told = ToldDays.Of(state, zone);
        try
        {
            IReadOnlyList<SeriesKey> all = [.. (await keeper.Store.ListSeriesAsync(cancellation).ConfigureAwait(false)).Union(told.Series).Order()];
            (SeriesKey Key, HistoryPart Part)[] wanted = [.. asked.Subject.Parts.SelectMany(part => all.Where(key => key.Quantity == part.Quantity).Select(key => (key, part)))];
            List<HistoryLine> lines = [];
            List<HistoryDay> days = [];
            var from = Instant.FromUnixTimeSeconds(first * 3600);
            foreach ((SeriesKey key, HistoryPart part) in wanted)
            {
                if (lines.Count == HistoryChart.MostLines)
                {
                    break;
                }

                // From the begin of the first day on, else that day would look as if less of it were here than is.
                IReadOnlyList<RollUp> here = await keeper.Store
                    .ReadRollUpsAsync(new RollUpQuery(key, RollUpSpan.Hour, CrewDay.Holding(from, zone).From, Instant.FromUnixTimeSeconds(until * 3600)), cancellation)
                    .ConfigureAwait(false);
                DayFigure[] standIns = [.. told.StandInsFor(key, here).Where(day => day.Day.Until > from && day.Day.From < now)];
                List<Piece> pieces = Pieces(here, standIns, from);
                if (pieces.Count > 0)
                {
                    string name = Name(key, part);
                    lines.Add(Line(name, pieces, asked.Subject, first, hours, now));
                    days.AddRange(standIns.Select(day => Told(name, day, asked.Subject)));
                }
            }

            return new HistoryChart(first * 3600, hours, lines, lines.Count == HistoryChart.MostLines ? wanted.Length - lines.Count : 0, [.. days.OrderByDescending(day => day.Day)], null);
        }
        catch (StoreFaultedException)
        {
            return new HistoryChart(first * 3600, hours, [], 0, [], "The store is being rebuilt from the journal. Nothing is lost; look again in a minute.");
        }
    }

    private static string Name(SeriesKey key, HistoryPart part) =>
        string.Join(", ", new[] { key.Item.Value, part.Words, key.Sensor }.Where(words => words.Length > 0).Distinct());

    private static HistoryDay Told(string name, DayFigure day, HistorySubject subject) => new(
        name, day.Day.Day, day.Samples, subject.Shown(day.Least), subject.Shown(day.Mean), subject.Shown(day.Greatest), subject.Shown(day.Last), day.By!.Value, day.Told!.Value);

    /// <summary>Hours that were read, but for days that a hub's word stands in for: those are one flat piece each, so that no hour counts twice.</summary>
    private static List<Piece> Pieces(IReadOnlyList<RollUp> here, DayFigure[] standIns, Instant from) =>
    [
        .. here.Where(hour => hour.Start >= from && !Array.Exists(standIns, day => hour.Start >= day.Day.From && hour.Start < day.Day.Until))
            .Select(hour => new Piece(hour.Start, hour.Start + Duration.FromHours(1), 1, hour.Min, hour.Mean, hour.Max, hour.Last))
            .Concat(standIns.Select(day => new Piece(day.Day.From, day.Day.Until, Math.Max(1, day.Known.TotalHours), day.Least, day.Mean, day.Greatest, day.Last)))
            .OrderBy(piece => piece.Start),
    ];

    private static HistoryLine Line(string name, List<Piece> pieces, HistorySubject subject, long first, int hours, Instant now)
    {
        double?[] means = new double?[hours];
        foreach (Piece piece in pieces)
        {
            long end = Math.Min(hours, (piece.End.ToUnixTimeSeconds() / 3600) - first);
            for (long place = Math.Max(0, (piece.Start.ToUnixTimeSeconds() / 3600) - first); place < end; place++)
            {
                means[place] = Math.Round(subject.Shown(piece.Mean), 2);
            }
        }

        return new HistoryLine(
            name,
            means,
            subject.Shown(pieces.Min(piece => piece.Least)),
            subject.Shown(pieces.Sum(piece => piece.Mean * piece.Weight) / pieces.Sum(piece => piece.Weight)),
            subject.Shown(pieces.Max(piece => piece.Greatest)),
            subject.Shown(pieces[^1].Last),
            Instant.Min(pieces[^1].End, now));
    }

    private readonly record struct Piece(Instant Start, Instant End, double Weight, double Least, double Mean, double Greatest, double Last);
}
