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
        double backlog = holdings.Groups.Sum(group => group.CopiesMissing.Gigabytes);
        DriveRoom room = new DriveRoom(holdings.Drives).After(backlog);
        Instant lastMoment = EndOf(lastDay, zone);
        return new FootageOutlook(
            holdings.AsOf,
            lastDay,
            holdings.Copies,
            holdings.CaseCount,
            volume.MeanPerDay,
            rates.Select(rate => rate.Rate).ToValueList(),
            Fills(room, volume, holdings, today, days),
            new Probability(1 - volume.ChanceOfAtLeast(Above(room.Volume(holdings.Copies, holdings.CaseCount)), days)),
            Shortfalls(room, volume, holdings, today, days),
            new GiveWayFinder(room, volume, rates, holdings.Copies, holdings.CaseCount, today, days).Find(),
            FootageRisk.Of(new LossWorld(holdings, lastMoment, parameters), parameters),
            FootageRisk.Of(new LossWorld(holdings, EndOf(handover, zone), parameters), parameters),
            new FootageMoves(lastMoment, parameters, question.Costs ?? MoveCosts.Cautious).Next(holdings));
    }

    private static ValueList<DriveFill> Fills(DriveRoom room, VolumeToCome volume, Holdings holdings, LocalDate today, int days)
    {
        IReadOnlyDictionary<KitId, (double FullAt, double Share)> filling = room.Filling(holdings.Copies, holdings.CaseCount);
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

    private static ValueList<CopyShortfall> Shortfalls(DriveRoom room, VolumeToCome volume, Holdings holdings, LocalDate today, int days)
    {
        List<CopyShortfall> shortfalls = [];
        for (int copy = holdings.Copies; copy >= 1; copy--)
        {
            double fits = Above(room.Volume(copy, Math.Min(holdings.CaseCount, copy)));
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

    /// <summary>Room runs out when more than what fits comes, not when just that comes.</summary>
    private static double Above(double fits) => fits + 1e-9;

    private static Instant EndOf(LocalDate day, Offset zone) => day.PlusDays(1).AtMidnight().WithOffset(zone).ToInstant();
}
