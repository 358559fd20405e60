using KitMesh.Outlook.Energy;

namespace KitMesh.Outlook.Learning;

/// <summary>First step of <see cref="SkyLearner"/>: posterior of panel factor and of a logit-normal sky, on a grid.</summary>
/// <param name="PanelFactor">Posterior mean of the factor.</param>
/// <param name="PanelDoubt">Standard deviation of its logarithm that would be left if the sky's mean were known.</param>
/// <param name="PanelMarginal">Standard deviation of its logarithm with the sky as unknown as it is.</param>
internal readonly record struct SkyGrid(double PanelFactor, double PanelDoubt, double PanelMarginal)
{
    private const int Grid = 25;
    private const double Error = 0.08;
    private const double Weight = 0.4;
    private const int Nodes = 25;

    private static readonly (double Factor, double Prior)[] Widths = [(0.75, 0.1), (1, 0.3), (1.35, 0.35), (1.8, 0.25)];

    internal static SkyGrid Of(SkyShape sky, IReadOnlyList<DayYield> days)
    {
        var posterior = new List<(double A, double B, double Log)>(Grid * Grid * Widths.Length);
        var nodes = new double[Nodes];
        foreach ((double width, double prior) in Widths)
        {
            for (int j = 0; j < Grid; j++)
            {
                double b = Place(j) * SkyLearner.SkyPrior;
                SkyShape shape = sky with { Shift = sky.Shift + b, Width = sky.Width * width };
                for (int n = 0; n < Nodes; n++)
                {
                    nodes[n] = shape.At((n - (Nodes / 2)) / 4.0);
                }

                for (int i = 0; i < Grid; i++)
                {
                    double a = Place(i) * SkyLearner.PanelPrior;
                    double log = Math.Log(prior) - (a * a / (2 * SkyLearner.PanelPrior * SkyLearner.PanelPrior)) - (b * b / (2 * SkyLearner.SkyPrior * SkyLearner.SkyPrior));
                    double factor = Math.Exp(a);
                    foreach (DayYield day in days)
                    {
                        log += Weight * Likelihood(nodes, day.Ratio / factor, day.AtLeast, day.Doubt);
                    }

                    posterior.Add((a, b, log));
                }
            }
        }

        return Moments(posterior);
    }

    // Log density of an index under the sky, blurred by the error of the ratio; for a throttled day the chance of at least that.
    private static double Likelihood(double[] nodes, double index, bool atLeast, double doubt)
    {
        double sum = 0;
        for (int n = 0; n < Nodes; n++)
        {
            double z = (n - (Nodes / 2)) / 4.0;
            double error = Math.Max(0.03, Error * nodes[n]);
            double sd = Math.Sqrt((error * error) + (doubt * doubt));
            double miss = (index - nodes[n]) / sd;
            double part = atLeast ? 1 / (1 + Math.Exp(1.7 * miss)) : Math.Exp(-miss * miss / 2) / sd;
            sum += Math.Exp(-z * z / 2) * part;
        }

        return Math.Log(Math.Max(sum, 1e-12));
    }

    private static SkyGrid Moments(List<(double A, double B, double Log)> posterior)
    {
        double best = posterior.Max(point => point.Log);
        double weights = 0;
        double a1 = 0;
        double b1 = 0;
        double aa = 0;
        double bb = 0;
        double ab = 0;
        foreach ((double a, double b, double log) in posterior)
        {
            double weight = Math.Exp(log - best);
            weights += weight;
            a1 += weight * a;
            b1 += weight * b;
            aa += weight * a * a;
            bb += weight * b * b;
            ab += weight * a * b;
        }

        double mean = a1 / weights;
        double shift = b1 / weights;
        double varianceA = (aa / weights) - (mean * mean);
        double varianceB = Math.Max(1e-9, (bb / weights) - (shift * shift));
        double covariance = (ab / weights) - (mean * shift);
        double left = Math.Sqrt(Math.Max(0, varianceA - (covariance * covariance / varianceB)));
        return new SkyGrid(Math.Exp(mean), left, Math.Sqrt(Math.Max(0, varianceA)));
    }

    private static double Place(int i) => 3 * (((2.0 * i) / (Grid - 1)) - 1);
}
