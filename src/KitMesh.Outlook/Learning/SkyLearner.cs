using KitMesh.Domain.Results;
using KitMesh.Outlook.Energy;

namespace KitMesh.Outlook.Learning;

// Problem: was it the sky or the panel? A day's yield over what a cloudless sky would have given is the product of both.
// Trap: dividing by the declared panel makes dirt look like cloud for ever; taking the best day as cloudless makes one lucky hour into dirt; leaving out the days on
// which the bank was full leaves out the bright ones; and a learnt sky of one hump is surprised by every storm (its 95 % intervals held 85 %).
// Method, in two steps. (1) Posterior on a grid over (panel factor, shift of the sky's mean, spread of the sky) of a logit-normal sky: a day's ratio r is factor × index with
// 8 % error; a throttled day says only "at least r" (censored). That gives the panel. (2) The shape of the sky: a Dirichlet process whose base is the declared sky, wide and
// worth six days, takes in every day's index as a narrow hump, so that places with storms grow two; the base keeps the chance of what was not seen yet. What the sample cannot tell is a shift of all positions, drawn once a path: the standard deviation of a Dirichlet
// process at its median, 1/(2 φ(0) √n), is 1.25/√n. Persistence comes from the positions of neighbouring days, with a prior from the published tables.
// Days are correlated: each counts as 0.4 in the grid's likelihood and as 0.5 in the shape (own choice; (1 - ρ)/(1 + ρ) is 0.43 to 0.67 for the published ρ of 0.39 to 0.2).
// Sources: grid approximation, censoring, Dirichlet process: A. Gelman et al., "Bayesian Data Analysis", 3rd ed., sections 3.7, 8.7 and 23.2. Check: LearnerTests; back-test in docs/models/outlook.md.

/// <summary>Learns sky and panels from daily yields.</summary>
internal static class SkyLearner
{
    /// <summary>Doubt in a declared derate before any yield. Common practice, no published source.</summary>
    internal const double PanelPrior = 0.12;

    /// <summary>Doubt in a declared clear-sky share, in units of the logit.</summary>
    internal const double SkyPrior = 0.45;

    /// <summary>Days that the declared sky is worth. Own choice; 5 to 15 score alike.</summary>
    internal const double PriorDays = 6;

    /// <summary>Persistence before any day: the upper part of what published matrices of daily clearness show (0.20 to 0.39).</summary>
    internal const double DeclaredPersistence = 0.35;

    /// <summary>Before any day is seen: published tables are of one month of many years; a season at a camp spreads wider. Own choice; the mean stays as declared.</summary>
    internal const double DeclaredWidening = 1.25;

    private const double PersistencePriorDays = 12;
    private const double LeastPanelDoubt = 0.04;
    private const double Step = 0.005;
    private const int GridPoints = 221;
    private const double HumpSd = 0.04;
    private const double DayWeight = 0.5;

    /// <summary>Index to a position, roughly: the standard deviation of a season.</summary>
    private const double PositionSlope = 0.23;

    /// <summary>The posterior.</summary>
    /// <param name="sky">The place's declared sky.</param>
    /// <param name="days">Yields, oldest first.</param>
    /// <param name="caution">What a plan counts on while there is no day; null on the trip.</param>
    internal static SkyBelief Learn(SkyShape sky, IReadOnlyList<DayYield> days, PlanCaution? caution = null)
    {
        (double mean, double sd) = sky.Moments();
        SkyShape declared = SkyShape.Fit(mean, sd * DeclaredWidening);
        if (days.Count == 0)
        {
            SkyShape wide = caution is null ? declared : SkyShape.Fit(mean, sd * caution.SkyWidening);
            return new SkyBelief(SkyCurve.Of(wide.At), DoubtAfter(0), caution?.SkyPersistence ?? DeclaredPersistence, 1, PanelPrior, null, 1, 0, 0);
        }

        SkyGrid grid = SkyGrid.Of(sky, days);
        DayYield[] seen = [.. days.Select(day => day with { Ratio = Math.Clamp(day.Ratio / grid.PanelFactor, SkyCurve.Least, SkyCurve.Greatest) })];
        double[] below = Shares(declared, seen);
        double[] positions = [.. seen.Select(day => Position(below, day))];
        DayYield last = seen[^1];
        return new SkyBelief(
            SkyCurve.OfShares(below, Step),
            DoubtAfter(days.Count),
            Persistence(seen, positions),
            grid.PanelFactor,
            Math.Max(LeastPanelDoubt, grid.PanelDoubt),
            positions[^1],
            last.AtLeast ? 0.6 : Math.Min(0.6, 0.15 + (last.Doubt / PositionSlope)),
            last.AgeDays,
            days.Count)
        {
            PanelMarginal = Math.Max(LeastPanelDoubt, grid.PanelMarginal),
        };
    }

    private static double DoubtAfter(int days) => 1.25 / Math.Sqrt(PriorDays + (DayWeight * days));

    // The base sky and the days as humps; a throttled day is the base sky's part above it.
    private static double[] Shares(SkyShape sky, DayYield[] days)
    {
        var below = new double[GridPoints];
        var atLeast = days.Where(day => day.AtLeast).Select(day => sky.ShareBelow(day.Ratio)).ToArray();
        (double Low, double Middle, double High, double Sd)[] humps = [.. days.Where(day => !day.AtLeast).Select(Hump)];
        double weight = DayWeight * days.Length / (PriorDays + (DayWeight * days.Length));
        for (int i = 0; i < GridPoints; i++)
        {
            double index = i * Step;
            double usual = sky.ShareBelow(index);
            double learnt = 0;
            foreach ((double low, double middle, double high, double sd) in humps)
            {
                learnt += Math.Clamp((SkyCurve.Below((index - middle) / sd) - low) / (high - low), 0, 1);
            }

            foreach (double cut in atLeast)
            {
                learnt += Math.Max(0, usual - cut) / Math.Max(1e-9, 1 - cut);
            }

            below[i] = ((1 - weight) * usual) + (weight * learnt / days.Length);
        }

        return below;
    }

    // A day seen in part is a wide hump, cut at what an index can be, so that its tail does not pile up at the bright end.
    private static (double Low, double Middle, double High, double Sd) Hump(DayYield day)
    {
        double sd = Math.Sqrt((HumpSd * HumpSd) + (day.Doubt * day.Doubt));
        return (SkyCurve.Below((SkyCurve.Least - day.Ratio) / sd), day.Ratio, SkyCurve.Below((((GridPoints - 1) * Step) - day.Ratio) / sd), sd);
    }

    private static double Position(double[] below, DayYield day)
    {
        double at = Math.Min(day.Ratio / Step, GridPoints - 1.001);
        int low = (int)at;
        double share = below[low] + ((at - low) * (below[low + 1] - below[low]));
        return Math.Clamp(SkyCurve.PositionOfShare(day.AtLeast ? (share + 1) / 2 : share), -2.9, 2.9);
    }

    private static double Persistence(DayYield[] days, double[] positions)
    {
        double products = DeclaredPersistence * PersistencePriorDays;
        double squares = PersistencePriorDays;
        for (int i = 1; i < days.Length; i++)
        {
            if (days[i - 1].AgeDays - days[i].AgeDays == 1)
            {
                products += positions[i - 1] * positions[i];
                squares += positions[i - 1] * positions[i - 1];
            }
        }

        return Math.Clamp(products / squares, 0, 0.8);
    }
}
