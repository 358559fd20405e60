using KitMesh.Domain;
using KitMesh.Domain.Planning;
using KitMesh.Domain.Reports;

namespace KitMesh.Outlook.Learning;

// Problem: how often copies to a drive fail, when most drives never failed yet.
// Trap: no failure in 20 days is not a rate of zero.
// Method: Poisson counts with a gamma prior whose mean is the rate of all drives together (with half a failure added) and that is worth as many days as make one
// failure of that rate expected. Posterior: gamma(a + Σk, b + Σdays), mean (a + Σk)/(b + Σdays), variance (a + Σk)/(b + Σdays)².
// Source: A. Gelman et al., "Bayesian Data Analysis", 3rd ed., section 2.6 (Poisson model with conjugate gamma prior). Check: FailureRatesTests.

/// <summary>Rates of failed copies.</summary>
internal static class FailureRates
{
    internal static IEnumerable<KitPosterior> Of(IReadOnlyList<TripEvidence> evidence)
    {
        double days = evidence.Sum(one => (double)one.Evidence);
        if (days <= 0)
        {
            yield break;
        }

        double common = (evidence.Sum(one => one.Value * one.Evidence) + 0.5) / days;
        const double Shape = 1;
        double rate = Shape / common;
        foreach (var drive in evidence.GroupBy(one => one.Item).OrderBy(group => group.Key))
        {
            double own = drive.Sum(one => (double)one.Evidence);
            double failures = Math.Round(drive.Sum(one => one.Value * one.Evidence));
            (double mean, double sd) = GammaPoisson(Shape, rate, failures, own);
            yield return new KitPosterior(
                drive.Key, LearntFigure.Failures, "1/d", mean, sd, null, null, null,
                drive.Select(one => one.Trip).ToValueList(), (int)own, rate / (rate + own));
        }
    }

    /// <summary>Mean and standard deviation of a rate after events were counted.</summary>
    internal static (double Mean, double Sd) GammaPoisson(double shape, double rate, double events, double exposure) =>
        ((shape + events) / (rate + exposure), Math.Sqrt(shape + events) / (rate + exposure));
}
