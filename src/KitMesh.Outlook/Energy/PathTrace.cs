namespace KitMesh.Outlook.Energy;

/// <summary>Figures of every path and day, for scoring and for the energy balance. Index is day × paths + path; energies in Wh.</summary>
internal sealed class PathTrace(int days, int paths)
{
    internal double[] EndFraction { get; } = new double[days * paths];

    internal double[] LowestFraction { get; } = new double[days * paths];

    internal double[] HarvestWh { get; } = new double[days * paths];

    internal double[] WastedWh { get; } = new double[days * paths];

    internal double[] PanelWh { get; } = new double[days * paths];

    internal double[] LoadWh { get; } = new double[days * paths];

    internal double[] HeaterWh { get; } = new double[days * paths];

    /// <summary>Energy into the cells before the charge efficiency.</summary>
    internal double[] ChargedWh { get; } = new double[days * paths];

    /// <summary>Energy out of the cells.</summary>
    internal double[] DrawnWh { get; } = new double[days * paths];

    internal double[] StartFraction { get; } = new double[paths];

    /// <summary>Most that the charge power ever passed what the zone of the cells allowed; never above 0.</summary>
    internal double[] WorstZoneExcessWatts { get; } = new double[paths];
}
