namespace KitMesh.Outlook.Energy;

/// <summary>What the paths of one bank gave, day by day, as counts.</summary>
internal sealed class PathDays
{
    internal PathDays(PathCase bank, int paths, bool keepPaths)
    {
        int days = bank.Steps.Days;
        Paths = paths;
        Lowest = Make(days, 0, 1);
        AtEnd = Make(days, 0, 1);
        FirstShort = new int[days];
        PanelsOut = new double[days];
        Short = new int[days];
        (double most, double loads) = Bounds(bank);
        Harvest = Make(days, 0, most);
        Wasted = Make(days, 0, most);
        Loads = Make(days, 0, loads);
        double heater = bank.HeaterWatts * 24;
        Heater = Make(days, 0, Math.Max(heater, 1));
        Net = Make(days, -Math.Max(heater, 1), most);
        FirstShortStep = new int[paths];
        Array.Fill(FirstShortStep, int.MaxValue);
        Trace = keepPaths ? new PathTrace(days, paths) : null;
    }

    internal int Paths { get; }

    internal Histogram[] Lowest { get; }

    internal Histogram[] AtEnd { get; }

    internal Histogram[] Harvest { get; }

    internal Histogram[] Wasted { get; }

    internal Histogram[] Loads { get; }

    internal Histogram[] Heater { get; }

    /// <summary>Harvest less heater, per day.</summary>
    internal Histogram[] Net { get; }

    /// <summary>Paths on which the panels went out, by day; 0 where they cannot stand.</summary>
    internal double[] PanelsOut { get; }

    /// <summary>Paths that ran short for the first time on each day.</summary>
    internal int[] FirstShort { get; }

    /// <summary>Paths that were short at some time of each day.</summary>
    internal int[] Short { get; }

    /// <summary>Step at which each path first ran short; int.MaxValue for never.</summary>
    internal int[] FirstShortStep { get; }

    /// <summary>Every path's figures, only when asked for.</summary>
    internal PathTrace? Trace { get; }

    /// <summary>Mean days of the trip on which the panels go out.</summary>
    internal double MeanDaysOut => PanelsOut.Sum() / Paths;

    internal double ShortByEnd => FirstShort.Sum() / (double)Paths;

    // The most that any path can harvest and draw in a day, so that no value falls outside the counts.
    private static (double Harvest, double Loads) Bounds(PathCase bank)
    {
        StepTable steps = bank.Steps;
        double most = 1;
        double loads = 1;
        int from = 0;
        foreach (int end in steps.DayEnd)
        {
            double sun = 0;
            double load = 0;
            for (int i = from; i < end; i++)
            {
                sun += steps.PanelLinear[i] + Math.Abs(steps.PanelSquare[i]);
                load += steps.LoadWatts[i];
            }

            most = Math.Max(most, sun * steps.StepHours * 1.6 * bank.PanelScale);
            loads = Math.Max(loads, load * steps.StepHours * (1 + (4 * bank.LoadDaySd)) * Math.Exp(2.5 * bank.LoadDoubt) * bank.LoadScale);
            from = end;
        }

        return (most, loads);
    }

    private static Histogram[] Make(int days, double low, double high) =>
        [.. Enumerable.Range(0, days).Select(_ => new Histogram(low, high))];
}
