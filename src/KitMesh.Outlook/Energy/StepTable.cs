namespace KitMesh.Outlook.Energy;

/// <summary>What is the same for every path in each step: sun, seasonal temperature, shape of the load. Plain doubles for the hot loop.</summary>
internal sealed class StepTable
{
    internal StepTable(int days, int stepsPerDay, int firstDaySteps)
    {
        Days = days;
        StepsPerDay = stepsPerDay;
        DayEnd = new int[days];
        int steps = firstDaySteps;
        for (int day = 0; day < days; day++)
        {
            DayEnd[day] = steps;
            steps += stepsPerDay;
        }

        int count = DayEnd.Length == 0 ? 0 : DayEnd[^1];
        Steps = count;
        PanelLinear = new double[count];
        PanelSquare = new double[count];
        AirMeanC = new double[count];
        AirSwingK = new double[count];
        LoadWatts = new double[count];
        HeaterAllowed = new double[count];
        Afternoon = new double[count];
        HasPanels = new bool[days];
        ForecastZ = new double[days];
        ForecastTrust = new double[days];
        ForecastAirK = new double[days];
    }

    internal int Days { get; }

    internal int StepsPerDay { get; }

    internal int Steps { get; }

    internal double StepHours => 24.0 / StepsPerDay;

    /// <summary>Index after each day's last step; the first day may be short because it has begun.</summary>
    internal int[] DayEnd { get; }

    /// <summary>Panel power at 25 °C cells is k (PanelLinear + PanelSquare k) watts, k the clear-sky index.</summary>
    internal double[] PanelLinear { get; }

    /// <summary>See <see cref="PanelLinear"/>.</summary>
    internal double[] PanelSquare { get; }

    /// <summary>Seasonal mean air temperature.</summary>
    internal double[] AirMeanC { get; }

    /// <summary>Daily swing of the air temperature in a clear sky at this hour.</summary>
    internal double[] AirSwingK { get; }

    /// <summary>Mean power of all loads.</summary>
    internal double[] LoadWatts { get; }

    /// <summary>1 where the heater may run, else 0.</summary>
    internal double[] HeaterAllowed { get; }

    /// <summary>-1 before solar noon and +1 after: the two halves of a day differ in cloud.</summary>
    internal double[] Afternoon { get; }

    /// <summary>Whether panels can stand on a day.</summary>
    internal bool[] HasPanels { get; }

    /// <summary>Gaussian position of a typed forecast for the day.</summary>
    internal double[] ForecastZ { get; }

    /// <summary>Weight of it, from 0 to 1.</summary>
    internal double[] ForecastTrust { get; }

    /// <summary>Typed forecast's mean temperature less the seasonal mean.</summary>
    internal double[] ForecastAirK { get; }
}
