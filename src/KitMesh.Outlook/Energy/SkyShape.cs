namespace KitMesh.Outlook.Energy;

// Problem: a day's clear-sky index is bounded, skewed towards clear days in dry ranges, and remembers the day before.
// Trap: a normal index goes below 0 and above the physical top, and its mean is off once it is clipped.
// Method: Gaussian position z with persistence from day to day (AR(1)), mapped through a logistic curve between a least and a greatest index
// (a logit-normal distribution). Shift and width are solved so that mean and standard deviation come out as wanted.
// Source: V. Graham, K. Hollands, T. Unny, "A time series model for Kt with application to global synthetic weather generation", Solar Energy 40 (1988)
// 83 to 92 for AR(1) on a Gaussian map; the logistic map is our own choice. Persistence 0.2 to 0.39 from the published Markov matrices (daily-kt-markov-stats.csv).
// Check: SkyShapeTests.

/// <summary>A logit-normal sky: what is declared of a place, and the base of what is learnt (see SkyCurve).</summary>
internal readonly record struct SkyShape(double Low, double High, double Shift, double Width)
{
    private const double Least = 0.04;
    private const double Greatest = 1.04;

    /// <summary>The shape with a mean and a standard deviation.</summary>
    /// <param name="mean">Mean index, held between 0.08 and 0.97.</param>
    /// <param name="sd">Standard deviation, held to what the bounds allow.</param>
    internal static SkyShape Fit(double mean, double sd)
    {
        double m = Math.Clamp(mean, 0.08, 0.97);
        double s = Math.Clamp(sd, 0.02, 0.45 * Math.Sqrt((m - Least) * (Greatest - m)) * 2);
        double shift = 0;
        double width = 1;
        for (int i = 0; i < 60; i++)
        {
            SkyShape shape = new(Least, Greatest, shift, width);
            (double gotMean, double gotSd) = shape.Moments();
            double p = (m - Least) / (Greatest - Least);
            shift += 0.9 * (m - gotMean) / Math.Max(0.05, p * (1 - p));
            width = Math.Clamp(width * Math.Pow(s / Math.Max(gotSd, 1e-6), 0.8), 0.02, 8);
        }

        return new SkyShape(Least, Greatest, shift, width);
    }

    /// <summary>Typical standard deviation for a mean, from the published day-to-day tables (Kt over 0.75 as index).</summary>
    internal static double TypicalSd(double mean) => mean switch
    {
        < 0.4 => 0.206,
        < 0.75 => 0.21,
        < 0.85 => 0.18,
        _ => 0.15,
    };

    internal double At(double z) => Low + ((High - Low) / (1 + Math.Exp(-(Shift + (Width * z)))));

    /// <summary>Share of days below an index.</summary>
    internal double ShareBelow(double index)
    {
        double p = Math.Clamp((index - Low) / (High - Low), 1e-9, 1 - 1e-9);
        return SkyCurve.Below((Math.Log(p / (1 - p)) - Shift) / Width);
    }

    /// <summary>The Gaussian position of an index, held within three standard deviations.</summary>
    internal double Position(double index)
    {
        double p = Math.Clamp((index - Low) / (High - Low), 1e-6, 1 - 1e-6);
        return Math.Clamp((Math.Log(p / (1 - p)) - Shift) / Width, -3, 3);
    }

    internal (double Mean, double Sd) Moments()
    {
        double sum = 0;
        double square = 0;
        double weights = 0;
        for (int i = -40; i <= 40; i++)
        {
            double z = i / 10.0;
            double weight = Math.Exp(-z * z / 2);
            double k = At(z);
            sum += weight * k;
            square += weight * k * k;
            weights += weight;
        }

        double mean = sum / weights;
        return (mean, Math.Sqrt(Math.Max(0, (square / weights) - (mean * mean))));
    }
}
