using KitMesh.Outlook.Energy;

namespace KitMesh.Outlook.Learning;

// Problem: was it the sky or the panel? A day's yield over what a cloudless sky would have given is the product of both.
// Trap: dividing by the declared panel makes dirt look like cloud for ever; taking the best day as cloudless makes one lucky hour into dirt.
// Method: posterior on a grid over (panel factor, shift of the sky's mean): each day's ratio r is factor × index with 8 % error, the index distributed as the
// place's sky; persistence is left out of the likelihood and days are counted at (1 - ρ)/(1 + ρ) of their number instead (effective sample size of an AR(1)).
// Source: grid approximation, A. Gelman et al., "Bayesian Data Analysis", 3rd ed., section 3.7. Check: SkyLearnerTests.

/// <summary>Learns sky and panels from daily yields.</summary>
internal static class SkyLearner
{
    /// <summary>Doubt in a declared derate before any yield. Common practice, no published source.</summary>
    internal const double PanelPrior = 0.12;

    /// <summary>Doubt in a declared clear-sky share, in units of the logit.</summary>
    internal const double SkyPrior = 0.45;

    private const int Grid = 41;
    private const double Error = 0.08;
    private const double Weight = (1 - 0.3) / (1 + 0.3);

    /// <summary>The posterior.</summary>
    /// <param name="sky">The place's declared sky.</param>
    /// <param name="ratios">Yield over cloudless yield per day, oldest first, with the age in days.</param>
    internal static SkyBelief Learn(SkyShape sky, IReadOnlyList<(double Ratio, int AgeDays)> ratios)
    {
        if (ratios.Count == 0)
        {
            return new SkyBelief(0, SkyPrior, 1, PanelPrior, null, 0, 0);
        }

        Span<double> log = new double[Grid * Grid];
        double best = double.NegativeInfinity;
        for (int i = 0; i < Grid; i++)
        {
            double a = Span(i) * 3 * PanelPrior;
            for (int j = 0; j < Grid; j++)
            {
                double b = Span(j) * 3 * SkyPrior;
                double value = -(a * a / (2 * PanelPrior * PanelPrior)) - (b * b / (2 * SkyPrior * SkyPrior));
                foreach ((double ratio, _) in ratios)
                {
                    value += Weight * Likelihood(sky with { Shift = sky.Shift + b }, ratio / Math.Exp(a));
                }

                log[(i * Grid) + j] = value;
                best = Math.Max(best, value);
            }
        }

        (double factor, double factorSd, double shift, double shiftSd) = Moments(log, best);
        (double lastRatio, int age) = ratios[^1];
        double z = (sky with { Shift = sky.Shift + shift }).Position(lastRatio / Math.Exp(factor));
        return new SkyBelief(shift, shiftSd, Math.Exp(factor), factorSd, z, age, ratios.Count);
    }

    // Log density of an index under the logit-normal sky, blurred by the error of the ratio: integrated over the normal.
    private static double Likelihood(SkyShape sky, double index)
    {
        double sum = 0;
        for (int i = -12; i <= 12; i++)
        {
            double z = i / 4.0;
            double k = sky.At(z);
            double sd = Math.Max(0.03, Error * k);
            double miss = (index - k) / sd;
            sum += Math.Exp((-z * z / 2) - (miss * miss / 2)) / sd;
        }

        return Math.Log(Math.Max(sum, 1e-12));
    }

    private static (double A, double ASd, double B, double BSd) Moments(ReadOnlySpan<double> log, double best)
    {
        double weights = 0;
        double a1 = 0;
        double a2 = 0;
        double b1 = 0;
        double b2 = 0;
        for (int i = 0; i < Grid; i++)
        {
            double a = Span(i) * 3 * PanelPrior;
            for (int j = 0; j < Grid; j++)
            {
                double b = Span(j) * 3 * SkyPrior;
                double weight = Math.Exp(log[(i * Grid) + j] - best);
                weights += weight;
                a1 += weight * a;
                a2 += weight * a * a;
                b1 += weight * b;
                b2 += weight * b * b;
            }
        }

        double a0 = a1 / weights;
        double b0 = b1 / weights;
        return (a0, Math.Sqrt(Math.Max(1e-6, (a2 / weights) - (a0 * a0))), b0, Math.Sqrt(Math.Max(1e-6, (b2 / weights) - (b0 * b0))));
    }

    private static double Span(int i) => ((2.0 * i) / (Grid - 1)) - 1;
}
