using System.Globalization;
using KitMesh.Domain;
using KitMesh.Domain.Results;
using NodaTime;

namespace KitMesh.Outlook.Footage;

/// <summary>What could give way when the drives do not last to the last day, mildest first.</summary>
internal sealed class GiveWayFinder(DriveRoom room, VolumeToCome volume, IReadOnlyList<LearntRate> rates, int copies, int cases, LocalDate today, int days)
{
    /// <summary>The drives should last with this chance.</summary>
    private const double Enough = 0.9;

    /// <summary>No source is asked to shoot less than this share.</summary>
    private const double LeastShare = 0.2;

    public ValueList<GiveWay> Find()
    {
        double fits = room.Volume(copies, cases);
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
                isEnough ? null : LastDayWith(room.Volume(copies, cases), 1 - ((1 - share) * source.Rate.GigabytesPerDay / perDay)),
                saved);
        }
    }

    private IEnumerable<GiveWay> FewerCopies(double wanted)
    {
        if (copies < 2)
        {
            yield break;
        }

        double fits = room.Volume(copies - 1, Math.Min(cases, copies - 1));
        yield return new GiveWay(
            $"{copies - 1} copies instead of {copies} from tomorrow: see what it does to the odds of loss first",
            fits >= wanted ? null : LastDayWith(fits, 1),
            Math.Max(0, fits - room.Volume(copies, cases)));
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
