namespace KitMesh.Outlook.Energy;

/// <summary>A standard bank to time the path engine with: 10,000 paths over 40 days in hourly steps unless told otherwise.</summary>
public sealed class OutlookWorkload
{
    private readonly PathCase _bank;
    private readonly int _paths;

    private OutlookWorkload(PathCase bank, int paths)
    {
        _bank = bank;
        _paths = paths;
    }

    /// <summary>Name of the random generator.</summary>
    public static string Generator => PathRandom.Name;

    /// <summary>Path-steps of one run.</summary>
    public long PathSteps => (long)_bank.Steps.Steps * _paths;

    /// <summary>The standard workload.</summary>
    /// <param name="paths">Paths, a multiple of eight.</param>
    /// <param name="days">Days.</param>
    public static OutlookWorkload Standard(int paths = 10_000, int days = 40) => new(StandardBank(days, 24), paths);

    /// <summary>The standard bank's sky, for a comparison in another language: clear-sky index at 129 Gaussian positions from -4 to 4.</summary>
    public static double[] SkyOfStandardBank() => StandardBank(1, 24).Sky.Table.ToArray();

    /// <summary>Rolls with lanes, all counts included.</summary>
    /// <param name="seed">Seed of the paths.</param>
    /// <returns>Chance of running short and median state of charge on the last day: so that nothing can be left out.</returns>
    public (double ShortByEnd, double MedianAtEnd) Run(ulong seed)
    {
        PathDays days = PathEngine.Run(_bank, seed, _paths);
        return (days.ShortByEnd, days.AtEnd[^1].Quantile(0.5));
    }

    /// <summary>Rolls with the plain loop, one path at a time.</summary>
    /// <param name="seed">Seed of the paths.</param>
    /// <returns>Median state of charge on the last day.</returns>
    public double RunPlain(ulong seed)
    {
        double[] ends = PathLoop.Run(_bank, seed, _paths);
        double[] last = ends[^_paths..];
        Array.Sort(last);
        return last[_paths / 2];
    }

    /// <summary>A bank of 1,280 Wh of LFP in a box with 300 W of panels at 36° north in late winter: invented, of the size that crews carry.</summary>
    internal static PathCase StandardBank(int days, int stepsPerDay)
    {
        var steps = new StepTable(days, stepsPerDay, stepsPerDay);
        for (int i = 0; i < steps.Steps; i++)
        {
            double hour = (i % stepsPerDay) * 24.0 / stepsPerDay;
            double sun = Math.Max(0, Math.Cos((hour - 12) * Math.PI / 11));
            steps.PanelLinear[i] = 255 * sun * 0.9;
            steps.PanelSquare[i] = 255 * sun * 0.1;
            steps.AirMeanC[i] = -17;
            steps.AirSwingK[i] = 11 * Math.Cos((hour - 14.5) * Math.PI / 12);
            steps.LoadWatts[i] = hour >= 18 ? 70 : 12;
            steps.HeaterAllowed[i] = hour is >= 5 and < 17 ? 1 : 0;
            steps.Afternoon[i] = hour < 12 ? -1 : 1;
        }

        Array.Fill(steps.HasPanels, true);

        return new PathCase
        {
            Steps = steps,
            CapacityWh = 1280,
            ReserveFraction = 0.2,
            FloorAtZero = 0.02,
            FloorPerKelvin = 0.004,
            StartFraction = 0.7,
            StartFractionSd = 0.05,
            StartCellC = -5,
            StartCellSd = 1,
            BoxJoulesPerKelvin = 12_000,
            BoxWattsPerKelvin = 0.25,
            BoxLossSd = 0.15,
            HeaterWatts = 40,
            HeaterOnC = 5,
            HeaterOffC = 15,
            ZoneFromC = [2, 10, 25],
            ZoneWatts = [128, 256, 640],
            ZoneEndC = 45,
            PanelWatts = 255,
            Sky = SkyCurve.Of(SkyShape.Fit(0.72, 0.21).At),
            GustLimit = 15,
            SnowLoss = 0.3,
            TaperPerHour = 6,
            LoadDaySd = 0.2,
            LoadDoubt = 0.1,
        };
    }
}
