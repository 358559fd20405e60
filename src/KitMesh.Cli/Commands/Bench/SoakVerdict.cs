namespace KitMesh.Cli.Commands.Bench;

/// <summary>Whether memory stayed constant over a soak.</summary>
/// <param name="FromMinute">The first sample that counts.</param>
/// <param name="LiveBytesPerHour">Slope of what is reachable.</param>
/// <param name="WorkingSetBytesPerHour">Slope of what the system counts.</param>
/// <param name="LiveGrowth">What the line gains from its first to its last sample, as a share of the mean.</param>
/// <param name="WorkingSetGrowth">The same of the working set.</param>
/// <remarks>
/// Problem: a collector lets memory swing, and a process that has just started still grows into its buffers. Method: the first
/// third of the samples is left out, and a straight line is fitted to the rest by least squares; memory is called constant when
/// the line gains at most a tenth of the mean over the judged time, for both counts. Trap: over a short time a slow leak gains
/// little, so the slope by the hour stands beside the verdict.
/// </remarks>
internal sealed record SoakVerdict(double FromMinute, double LiveBytesPerHour, double WorkingSetBytesPerHour, double LiveGrowth, double WorkingSetGrowth)
{
    /// <summary>Fewer samples say nothing.</summary>
    public const int FewestSamples = 3;

    /// <summary>The most that counts as constant.</summary>
    public const double MostGrowth = 0.1;

    /// <summary>Whether memory stayed constant.</summary>
    public bool IsConstant => LiveGrowth <= MostGrowth && WorkingSetGrowth <= MostGrowth;

    /// <summary>Judges samples; null when there are too few.</summary>
    public static SoakVerdict? Of(IReadOnlyList<SoakSample> samples)
    {
        SoakSample[] judged = [.. samples.Skip(samples.Count / 3)];
        if (judged.Length < FewestSamples)
        {
            return null;
        }

        double[] minutes = [.. judged.Select(sample => sample.Minute)];
        (double live, double liveGrowth) = Fit(minutes, [.. judged.Select(sample => (double)sample.LiveBytes)]);
        (double working, double workingGrowth) = Fit(minutes, [.. judged.Select(sample => (double)sample.WorkingSetBytes)]);
        return new SoakVerdict(minutes[0], live * 60, working * 60, liveGrowth, workingGrowth);
    }

    private static (double Slope, double Growth) Fit(double[] x, double[] y)
    {
        double meanX = x.Average();
        double meanY = y.Average();
        double slope = x.Zip(y).Sum(at => (at.First - meanX) * (at.Second - meanY)) / x.Sum(at => (at - meanX) * (at - meanX));
        return (slope, slope * (x[^1] - x[0]) / meanY);
    }
}
