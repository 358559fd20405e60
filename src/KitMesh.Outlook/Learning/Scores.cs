namespace KitMesh.Outlook.Learning;

// Problem: whether probabilities can be trusted, on data that the model has not seen.
// Method: the continuous ranked probability score of an ensemble, coverage of central intervals and the place of what happened in the forecast (PIT).
// Sources: T. Gneiting, A. Raftery, "Strictly proper scoring rules, prediction, and estimation", JASA 102 (2007) 359 to 378 (CRPS, interval score);
// T. Gneiting et al., Monthly Weather Review 133 (2005) 1098 to 1118, equation 5 (Gaussian). Check: ScoresTests (scoring.csv: values published with properscoring and scoringrules).

/// <summary>Proper scores; smaller is better.</summary>
public static class Scores
{
    /// <summary>CRPS of an ensemble taken as a step distribution: E|X - y| - E|X - X'|/2.</summary>
    /// <param name="members">Members in any order, at least one.</param>
    /// <param name="observed">What happened.</param>
    public static double Crps(ReadOnlySpan<double> members, double observed) => Crps(members, observed, fair: false);

    /// <summary>The fair estimator: unbiased for an ensemble that is a sample (divides by m (m - 1)); at least two members.</summary>
    /// <param name="members">Members in any order.</param>
    /// <param name="observed">What happened.</param>
    public static double CrpsFair(ReadOnlySpan<double> members, double observed) => Crps(members, observed, fair: true);

    /// <summary>Mean score of a quantile forecast.</summary>
    /// <param name="observed">What happened.</param>
    /// <param name="quantile">The forecast.</param>
    /// <param name="level">Its level, from 0 to 1.</param>
    public static double Pinball(double observed, double quantile, double level) =>
        observed >= quantile ? level * (observed - quantile) : (1 - level) * (quantile - observed);

    /// <summary>Interval score of a central interval.</summary>
    /// <param name="observed">What happened.</param>
    /// <param name="lower">Lower end.</param>
    /// <param name="upper">Upper end.</param>
    /// <param name="alpha">Share left outside, from 0 to 1.</param>
    public static double Interval(double observed, double lower, double upper, double alpha) =>
        upper - lower + (2 / alpha * Math.Max(0, lower - observed)) + (2 / alpha * Math.Max(0, observed - upper));

    /// <summary>Brier score of a chance.</summary>
    /// <param name="chance">The forecast, from 0 to 1.</param>
    /// <param name="happened">Whether it happened.</param>
    public static double Brier(double chance, bool happened) => (chance - (happened ? 1 : 0)) * (chance - (happened ? 1 : 0));

    /// <summary>Share of an ensemble below what happened; ties count half.</summary>
    /// <param name="members">Members in any order.</param>
    /// <param name="observed">What happened.</param>
    public static double Pit(ReadOnlySpan<double> members, double observed)
    {
        double below = 0;
        foreach (double member in members)
        {
            below += member < observed ? 1 : member == observed ? 0.5 : 0;
        }

        return below / members.Length;
    }

    private static double Crps(ReadOnlySpan<double> members, double observed, bool fair)
    {
        double[] sorted = members.ToArray();
        Array.Sort(sorted);
        double error = 0;
        double spread = 0;
        int m = sorted.Length;
        for (int i = 0; i < m; i++)
        {
            error += Math.Abs(sorted[i] - observed);
            spread += sorted[i] * ((2 * i) + 1 - m);
        }

        // Sum over pairs of |xi - xj| is twice the spread.
        return (error / m) - (spread / ((double)m * (fair ? m - 1 : m)));
    }
}
