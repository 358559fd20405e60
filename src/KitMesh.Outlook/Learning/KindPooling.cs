using KitMesh.Domain;
using KitMesh.Domain.Planning;
using KitMesh.Domain.Reports;

namespace KitMesh.Outlook.Learning;

// Problem: several devices of a kind, each seen on a trip or two, what to believe of each and of a new one.
// Method: three levels on the logarithm of measured over declared. A device's trips pool by their precision (random effects between trips where there are
// several). Devices of a kind scatter around the kind's middle with τ, whose square is the moment estimate of Pooling joined with a declared guess's own variance, worth
// three devices, because two or three devices cannot tell a scatter. The kind's middle has a prior at "as declared". A seen device is shrunk towards the middle, a
// new one is the middle with both doubts.
// Source: normal hierarchical model, A. Gelman et al., "Bayesian Data Analysis", 3rd ed., section 5.4 (equations 5.17 and 5.20; from memory). Check: KindPoolingTests.

/// <summary>Pools one figure of one kind.</summary>
internal static class KindPooling
{
    private const double PriorDevices = 3;

    internal static (KindPosterior Kind, IEnumerable<KitPosterior> Items) Of(string kind, LearntFigure figure, IReadOnlyList<TripEvidence> evidence)
    {
        double guess = Guess(figure);
        var items = evidence.GroupBy(one => one.Item).OrderBy(group => group.Key).Select(group => (group.Key, Trips: group.ToArray(), Own: Own([.. group]))).ToArray();
        (double Value, double Sd)[] ratios = [.. items.Select(item => (item.Own.Mean - Math.Log(item.Trips[^1].Declared), item.Own.Sd))];
        double between = Between(ratios, guess);
        (double middle, double middleSd) = Middle(ratios, between, guess);
        var posteriors = items.Select((item, i) => Posterior(item.Key, figure, item.Trips, ratios[i], between, (middle, middleSd)));
        return (new KindPosterior(kind, figure, Math.Exp(middle), Math.Sqrt(between + (middleSd * middleSd)), items.Length), posteriors.ToArray());
    }

    /// <summary>Doubt in a declared figure as a fraction. Common practice, no published source.</summary>
    internal static double Guess(LearntFigure figure) => figure switch
    {
        LearntFigure.PanelDerate => SkyLearner.PanelPrior,
        LearntFigure.BoxLoss or LearntFigure.BoxCapacity => 0.3,
        LearntFigure.SourcePerDay => 0.4,
        _ => LoadLearner.DeclaredDoubt,
    };

    internal static double Between(IReadOnlyList<(double Value, double Sd)> ratios, double guess)
    {
        double moment = ratios.Count > 1 ? Pooling.Of(ratios).BetweenVariance : 0;
        return ((PriorDevices * guess * guess) + ((ratios.Count - 1) * moment)) / (PriorDevices + ratios.Count - 1);
    }

    internal static (double Mean, double Sd) Middle(IReadOnlyList<(double Value, double Sd)> ratios, double between, double guess)
    {
        double precision = 1 / (guess * guess);
        double sum = 0;
        foreach ((double value, double sd) in ratios)
        {
            double weight = 1 / ((sd * sd) + between);
            precision += weight;
            sum += weight * value;
        }

        return (sum / precision, Math.Sqrt(1 / precision));
    }

    /// <summary>A seen device: its own ratio and the kind's middle, the middle's own doubt included.</summary>
    internal static (double Mean, double Sd) Shrink((double Value, double Sd) ratio, double between, (double Mean, double Sd) middle)
    {
        (double mean, double sd) = Pooling.Combine(ratio, (middle.Mean, Math.Sqrt(between)));
        double share = sd * sd / between;
        return (mean, Math.Sqrt((sd * sd) + (share * share * middle.Sd * middle.Sd)));
    }

    // A device's trips together, as logarithm with its standard deviation.
    private static (double Mean, double Sd) Own(TripEvidence[] trips)
    {
        (double, double)[] logs = [.. trips.Select(one => (Math.Log(one.Value), one.Doubt / one.Value))];
        Pooling pooled = Pooling.Of(logs);
        return (pooled.Mean, pooled.MeanSd);
    }

    private static KitPosterior Posterior(KitId item, LearntFigure figure, TripEvidence[] trips, (double Value, double Sd) ratio, double between, (double Mean, double Sd) middle)
    {
        (double mean, double sd) = Shrink(ratio, between, middle);
        TripEvidence last = trips[^1];
        double days = trips.Sum(one => (double)one.Evidence);
        double? Weighted(Func<TripEvidence, double?> of)
        {
            TripEvidence[] told = [.. trips.Where(one => of(one) is not null)];
            return told.Length == 0 ? null : told.Sum(one => of(one)!.Value * one.Evidence) / told.Sum(one => (double)one.Evidence);
        }

        double? spread = Weighted(one => one.DaySpread * one.DaySpread);
        return new KitPosterior(
            item, figure, last.Unit, last.Declared * Math.Exp(mean), sd, spread is { } variance ? Math.Sqrt(variance) : null,
            Weighted(one => one.PerKelvin), Weighted(one => one.MeanAir), trips.Select(one => one.Trip).ToValueList(), (int)days, ratio.Sd * ratio.Sd / ((ratio.Sd * ratio.Sd) + between));
    }
}
