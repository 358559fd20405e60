namespace KitMesh.Outlook.Learning;

// Problem: several devices, each seen on a trip or two, and a new device of the same kind of which nothing is known but what its owner guessed.
// Trap: averaging all devices claims that they are alike; trusting each alone throws away that crews of one kind guess wrong in the same direction.
// Method: random effects. y_i = θ_i + error (s_i known), θ_i ~ N(μ, τ²). τ² by moments, μ by weights 1/(s_i² + τ²).
// Source: R. DerSimonian, N. Laird, "Meta-analysis in clinical trials", Controlled Clinical Trials 7 (1986) 177 to 188; shrinkage: A. Gelman et al., "Bayesian Data Analysis",
// 3rd ed., section 5.4. Check: PoolingTests (vaccine trials and eight schools, published).

/// <summary>What is common to several estimates.</summary>
/// <param name="Mean">μ.</param>
/// <param name="MeanSd">Standard deviation of μ.</param>
/// <param name="BetweenVariance">τ².</param>
/// <param name="Count">Estimates.</param>
internal sealed record Pooling(double Mean, double MeanSd, double BetweenVariance, int Count)
{
    internal static Pooling Of(IReadOnlyList<(double Value, double Sd)> estimates)
    {
        ArgumentOutOfRangeException.ThrowIfZero(estimates.Count);
        double[] weights = [.. estimates.Select(one => 1 / (one.Sd * one.Sd))];
        double sum = weights.Sum();
        double mean = Enumerable.Range(0, weights.Length).Sum(i => weights[i] * estimates[i].Value) / sum;
        double q = Enumerable.Range(0, weights.Length).Sum(i => weights[i] * Math.Pow(estimates[i].Value - mean, 2));
        double scale = sum - (weights.Sum(weight => weight * weight) / sum);
        double between = scale > 0 ? Math.Max(0, (q - (weights.Length - 1)) / scale) : 0;
        double[] wide = [.. estimates.Select(one => 1 / ((one.Sd * one.Sd) + between))];
        double total = wide.Sum();
        return new Pooling(Enumerable.Range(0, wide.Length).Sum(i => wide[i] * estimates[i].Value) / total, Math.Sqrt(1 / total), between, estimates.Count);
    }

    /// <summary>Two normals multiplied.</summary>
    internal static (double Mean, double Sd) Combine((double Mean, double Sd) a, (double Mean, double Sd) b)
    {
        double first = 1 / (a.Sd * a.Sd);
        double second = 1 / (b.Sd * b.Sd);
        return (((first * a.Mean) + (second * b.Mean)) / (first + second), Math.Sqrt(1 / (first + second)));
    }
}
