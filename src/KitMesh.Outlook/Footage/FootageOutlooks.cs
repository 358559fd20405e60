using KitMesh.Domain;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using KitMesh.Footage.Ledger;
using KitMesh.Footage.Risk;
using NodaTime;

namespace KitMesh.Outlook.Footage;

/// <summary>Answers whether the drives last, what is at risk, and what to do next.</summary>
public static class FootageOutlooks
{
    /// <summary>Without a trip, the outlook looks this many days ahead.</summary>
    public const int DaysWithoutTrip = 14;

    /// <summary>Answers the question.</summary>
    /// <param name="question">The question.</param>
    public static FootageOutlook Answer(FootageOutlookQuestion question)
    {
        Holdings holdings = question.Holdings;
        LossParameters parameters = question.Parameters ?? LossParameters.Published;
        Offset zone = holdings.Trip?.ZoneOffset ?? Offset.Zero;
        LocalDate today = holdings.AsOf.WithOffset(zone).Date;
        LocalDate lastDay = LocalDate.Max(today, holdings.Trip?.LastDay ?? today.PlusDays(DaysWithoutTrip));
        LocalDate handover = LocalDate.Max(lastDay, holdings.Trip?.HandoverDay ?? lastDay);
        int days = Period.DaysBetween(today, lastDay);

        IReadOnlyList<LearntRate> rates = SourceRates.Learn(holdings, today);
        var volume = new VolumeToCome(rates);
        IReadOnlyList<CopyDemand> demands = Demands(holdings, rates);
        DriveRoom room = Room(holdings);
        Instant lastMoment = EndOf(lastDay, zone);
        return new FootageOutlook(
            holdings.AsOf,
            lastDay,
            holdings.Copies,
            holdings.CaseCount,
            volume.MeanPerDay,
            rates.Select(rate => rate.Rate).ToValueList(),
            Fills(room, volume, demands, today, days),
            new Probability(1 - volume.ChanceOfAtLeast(Above(room.Volume(demands)), days)),
            Shortfalls(room, volume, demands, today, days),
            [.. new GiveWayFinder(room, volume, rates, demands, today, days).Find(), .. CardsFirst(holdings, room, volume, demands, days)],
            FootageRisk.Of(new LossWorld(holdings, lastMoment, parameters)),
            FootageRisk.Of(new LossWorld(holdings, EndOf(handover, zone), parameters)),
            new FootageMoves(lastMoment, parameters, question.Costs ?? MoveCosts.Cautious).Next(holdings))
        {
            Clearing = holdings.Clearing.Select(row => ClearingPlanner.Plan(row, rates)).ToValueList(),
        };
    }

    /// <summary>How long the drives last, without the odds and the moves: cheap enough for every look at the alerts.</summary>
    /// <param name="holdings">Where all footage lies now.</param>
    public static Runway RunwayOf(Holdings holdings)
    {
        Offset zone = holdings.Trip?.ZoneOffset ?? Offset.Zero;
        LocalDate today = holdings.AsOf.WithOffset(zone).Date;
        LocalDate lastDay = LocalDate.Max(today, holdings.Trip?.LastDay ?? today.PlusDays(DaysWithoutTrip));
        int days = Period.DaysBetween(today, lastDay);
        IReadOnlyList<LearntRate> rates = SourceRates.Learn(holdings, today);
        var volume = new VolumeToCome(rates);
        double fits = Room(holdings).Volume(Demands(holdings, rates));
        int last = -1;
        while (last < days && volume.ChanceOfAtLeast(Above(fits), last + 1) <= 1 - GiveWayFinder.Enough)
        {
            last++;
        }

        return new Runway(
            lastDay,
            new Probability(1 - volume.ChanceOfAtLeast(Above(fits), days)),
            last < 0 ? null : today.PlusDays(last),
            last + 1,
            volume.MeanPerDay,
            double.IsInfinity(fits) ? 0 : fits);
    }

    /// <summary>The room that is left when all that the rules ask for already was copied.</summary>
    private static DriveRoom Room(Holdings holdings) =>
        new DriveRoom(holdings.Drives).After(holdings.Groups.Sum(group => group.CopiesMissing.Gigabytes));

    private static IReadOnlyList<CopyDemand> Demands(Holdings holdings, IReadOnlyList<LearntRate> rates)
    {
        Dictionary<KitId, (int, int)> rules = holdings.Demands.ToDictionary(demand => demand.Source, demand => (demand.Copies, demand.Cases));
        return CopyDemand.Of(rates, rate => rules.TryGetValue(rate.Rate.Source, out (int, int) rule) ? rule : (holdings.Copies, holdings.CaseCount));
    }

    private static ValueList<DriveFill> Fills(DriveRoom room, VolumeToCome volume, IReadOnlyList<CopyDemand> demands, LocalDate today, int days)
    {
        IReadOnlyDictionary<KitId, (double FullAt, double Share)> filling = room.Filling(demands);
        return room.Drives.Select(drive => Fill(drive.Drive, drive.Free, filling[drive.Drive].FullAt, filling[drive.Drive].Share)).ToValueList();

        DriveFill Fill(KitId name, double free, double full, double share) => new(
            name,
            ByteCount.FromGigabytes(free),
            volume.MeanPerDay * share,
            Day(full, 0.1),
            Day(full, 0.5),
            Day(full, 0.9),
            new Probability(double.IsInfinity(full) ? 0 : volume.ChanceOfAtLeast(full, days)));

        LocalDate? Day(double full, double chance) =>
            !double.IsInfinity(full) && volume.DayOf(full, chance, days) is { } day ? today.PlusDays(day) : null;
    }

    private static ValueList<CopyShortfall> Shortfalls(DriveRoom room, VolumeToCome volume, IReadOnlyList<CopyDemand> demands, LocalDate today, int days)
    {
        List<CopyShortfall> shortfalls = [];
        for (int copy = demands.Select(demand => demand.Copies).DefaultIfEmpty(0).Max(); copy >= 1; copy--)
        {
            double fits = Above(room.Volume([.. demands.Select(demand => demand.AtMost(copy))]));
            double chance = volume.ChanceOfAtLeast(fits, days);
            if (chance < 0.001)
            {
                continue;
            }

            shortfalls.Add(new CopyShortfall(
                copy,
                volume.DayOf(fits, 0.1, days) is { } early ? today.PlusDays(early) : null,
                volume.DayOf(fits, 0.5, days) is { } likely ? today.PlusDays(likely) : null,
                new Probability(chance),
                Math.Max(0, volume.Mean(days) - fits)));
        }

        return shortfalls.ToValueList();
    }

    /// <summary>Which cards go first when room is short: those whose clips have the fewest copies, and the oldest of those.</summary>
    private static IEnumerable<GiveWay> CardsFirst(Holdings holdings, DriveRoom room, VolumeToCome volume, IReadOnlyList<CopyDemand> demands, int days)
    {
        (KitId Card, int Copies, LocalDate Day, double Gigabytes)[] cards = [.. holdings.Groups
            .Where(group => group.Card is not null && group.CopiesMissing.Value > 0)
            .GroupBy(group => group.Card!.Value)
            .Select(card => (card.Key, card.Min(group => group.Drives.Count), card.Min(group => group.Day), card.Sum(group => group.CopiesMissing.Gigabytes)))
            .OrderBy(card => card.Item2)
            .ThenBy(card => card.Item3)
            .ThenBy(card => card.Key)];
        if (cards.Length < 2 || room.Volume(demands) >= volume.Quantile(GiveWayFinder.Enough, days))
        {
            yield break;
        }

        string order = string.Join(", ", cards.Take(5).Select(card => string.Create(
            System.Globalization.CultureInfo.InvariantCulture,
            $"{card.Card} ({card.Copies switch { 0 => "no copy yet", 1 => "one copy", _ => $"{card.Copies} copies" }}, {card.Gigabytes:0} GB to write)")));
        yield return new GiveWay($"while room is short, offload in this order: {order}{(cards.Length > 5 ? $", then {cards.Length - 5} more" : "")}", null, 0);
    }

    /// <summary>Room runs out when more than what fits comes, not when just that comes.</summary>
    private static double Above(double fits) => fits + 1e-9;

    private static Instant EndOf(LocalDate day, Offset zone) => day.PlusDays(1).AtMidnight().WithOffset(zone).ToInstant();
}
