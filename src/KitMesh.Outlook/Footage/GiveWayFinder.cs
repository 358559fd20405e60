using System.Globalization;
using KitMesh.Domain;
using KitMesh.Domain.Results;
using NodaTime;

namespace KitMesh.Outlook.Footage;

/// <summary>What could give way when the drives do not last to the last day, mildest first.</summary>
internal sealed class GiveWayFinder(DriveRoom room, VolumeToCome volume, IReadOnlyList<LearntRate> rates, IReadOnlyList<CopyDemand> demands, LocalDate today, int days)
{
    /// <summary>The drives should last with this chance.</summary>
    public const double Enough = 0.9;

    /// <summary>No source is asked to shoot less than this share.</summary>
    private const double LeastShare = 0.2;

    public ValueList<GiveWay> Find()
    {
        double fits = room.Volume(demands);
        double wanted = volume.Quantile(Enough, days);
        if (fits >= wanted)
        {
            return [];
        }

        return [.. LowerRates(wanted - fits, wanted), .. FewerCopies(wanted)];
    }

    private IEnumerable<GiveWay> LowerRates(double missing, double wanted)
    {
        double perDay = volume.MeanPerDay;
        foreach (LearntRate source in rates.Where(rate => rate.Rate.GigabytesPerDay > 0).OrderByDescending(rate => rate.Rate.GigabytesPerDay).ThenBy(rate => rate.Rate.Source))
        {
            double ofSource = wanted * source.Rate.GigabytesPerDay / perDay;
            double share = Math.Max(LeastShare, 1 - (missing / ofSource));
            double saved = (1 - share) * ofSource;
            bool isEnough = saved >= missing * (1 - 1e-9);
            yield return new GiveWay(
                string.Create(
                    CultureInfo.InvariantCulture,
                    $"{source.Rate.Source} at {share * 100:0} % of its data from tomorrow ({source.Rate.GigabytesPerDay * share:0} GB instead of {source.Rate.GigabytesPerDay:0} GB a day): a lower data rate, or fewer minutes"),
                isEnough ? null : LastDayWith(room.Volume(demands), 1 - ((1 - share) * source.Rate.GigabytesPerDay / perDay)),
                saved);
        }
    }

    private IEnumerable<GiveWay> FewerCopies(double wanted)
    {
        int copies = demands.Select(demand => demand.Copies).DefaultIfEmpty(0).Max();
        if (copies < 2)
        {
            yield break;
        }

        double fits = room.Volume([.. demands.Select(demand => demand.AtMost(copies - 1))]);
        string where = demands.Count > 1 ? " where the rule asks for so many" : "";
        yield return new GiveWay(
            $"{copies - 1} copies instead of {copies}{where} from tomorrow: see what it does to the odds of loss first",
            fits >= wanted ? null : LastDayWith(fits, 1),
            Math.Max(0, fits - room.Volume(demands)));
    }

    private LocalDate LastDayWith(double fits, double share)
    {
        int last = -1;
        while (last < days && volume.ChanceOfAtLeast(fits / share, last + 1) <= 1 - Enough)
        {
            last++;
        }

        return today.PlusDays(last);
    }
}
