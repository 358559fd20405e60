using KitMesh.Outlook.Energy;

namespace KitMesh.Outlook.Learning;

// Problem: was it the sky or the panel? A day's yield over what a cloudless sky would have given is the product of both.
// Trap: dividing by the declared panel makes dirt look like cloud for ever; taking the best day as cloudless makes one lucky hour into dirt; and leaving out the days on
// which the bank was full leaves out the bright ones, so that every trip would look gloomier than it is.
// Method: posterior on a grid over (panel factor, shift of the sky's mean, spread of the sky). A day's ratio r is factor × index with 8 % error, the index distributed as
// the place's sky; a throttled day says only "at least r" (a censored observation). Persistence is left out of the likelihood and days are counted at 0.4 of their
// number instead: (1 - ρ)/(1 + ρ) for ρ of about 0.4, the upper end of the published tables, because spells of weather hold longer than an AR(1) thinks.
// Source: grid approximation and censoring, A. Gelman et al., "Bayesian Data Analysis", 3rd ed., sections 3.7 and 8.7. Check: LearnerTests.

/// <summary>Learns sky and panels from daily yields.</summary>
internal static class SkyLearner
{
    /// <summary>Doubt in a declared derate before any yield. Common practice, no published source.</summary>
    internal const double PanelPrior = 0.12;

    /// <summary>Doubt in a declared clear-sky share, in units of the logit.</summary>
    internal const double SkyPrior = 0.45;

    /// <summary>Learning never gets surer than this: a season changes. Own choice.</summary>
    private const double LeastSkyDoubt = 0.4;
    private const double LeastPanelDoubt = 0.08;

    /// <summary>Before any day is seen: published tables are of places with many years; a single season at a camp spreads wider. Own choice.</summary>
    internal const double DeclaredWidth = 1.35;

    private const int Grid = 25;
    private const double Error = 0.08;
    private const double Weight = 0.4;

    private static readonly (double Factor, double Prior)[] Widths = [(0.75, 0.1), (1, 0.3), (1.35, 0.35), (1.8, 0.25)];

    /// <summary>The posterior.</summary>
    /// <param name="sky">The place's declared sky.</param>
    /// <param name="days">Yields, oldest first.</param>
    internal static SkyBelief Learn(SkyShape sky, IReadOnlyList<DayYield> days)
    {
        if (days.Count == 0)
        {
            return new SkyBelief(0, SkyPrior, DeclaredWidth, 1, PanelPrior, null, 0, 0);
        }

        var posterior = new List<(double A, double B, double Width, double Log)>(Grid * Grid * Widths.Length);
        foreach ((double width, double prior) in Widths)
        {
            for (int i = 0; i < Grid * Grid; i++)
            {
                double a = Place(i / Grid) * PanelPrior;
                double b = Place(i % Grid) * SkyPrior;
                SkyShape shape = sky with { Shift = sky.Shift + b, Width = sky.Width * width };
                double log = Math.Log(prior) - (a * a / (2 * PanelPrior * PanelPrior)) - (b * b / (2 * SkyPrior * SkyPrior));
                double factor = Math.Exp(a);
                foreach (DayYield day in days)
                {
                    log += Weight * Likelihood(shape, day.Ratio / factor, day.AtLeast);
                }

                posterior.Add((a, b, width, log));
            }
        }

        return Moments(sky, posterior, days[^1], days.Count);
    }

    // Log density of an index under the sky, blurred by the error of the ratio; for a throttled day the chance of at least that.
    private static double Likelihood(SkyShape sky, double index, bool atLeast)
    {
        double sum = 0;
        for (int i = -12; i <= 12; i++)
        {
            double z = i / 4.0;
            double k = sky.At(z);
            double sd = Math.Max(0.03, Error * k);
            double miss = (index - k) / sd;
            double part = atLeast ? 1 / (1 + Math.Exp(1.7 * miss)) : Math.Exp(-miss * miss / 2) / sd;
            sum += Math.Exp(-z * z / 2) * part;
        }

        return Math.Log(Math.Max(sum, 1e-12));
    }

    private static SkyBelief Moments(SkyShape sky, List<(double A, double B, double Width, double Log)> posterior, DayYield last, int days)
    {
        double best = posterior.Max(point => point.Log);
        double weights = 0;
        double a1 = 0;
        double a2 = 0;
        double b1 = 0;
        double b2 = 0;
        double w1 = 0;
        foreach ((double a, double b, double width, double log) in posterior)
        {
            double weight = Math.Exp(log - best);
            weights += weight;
            a1 += weight * a;
            a2 += weight * a * a;
            b1 += weight * b;
            b2 += weight * b * b;
            w1 += weight * width;
        }

        double mean = a1 / weights;
        double shift = b1 / weights;
        double spread = w1 / weights;
        double panelSd = Math.Sqrt(Math.Max(LeastPanelDoubt * LeastPanelDoubt, (a2 / weights) - (mean * mean)));
        double skySd = Math.Sqrt(Math.Max(LeastSkyDoubt * LeastSkyDoubt, (b2 / weights) - (shift * shift)));
        SkyShape learnt = sky with { Shift = sky.Shift + shift, Width = sky.Width * spread };
        double? z = last.AtLeast ? null : learnt.Position(last.Ratio / Math.Exp(mean));
        return new SkyBelief(shift, skySd, spread, Math.Exp(mean), panelSd, z, last.AgeDays, days);
    }

    private static double Place(int i) => 3 * (((2.0 * i) / (Grid - 1)) - 1);
}
