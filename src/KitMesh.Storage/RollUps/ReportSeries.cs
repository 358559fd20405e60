using KitMesh.Domain.Reports;

namespace KitMesh.Storage.RollUps;

/// <summary>Which series a report adds to, and with what value.</summary>
internal static class ReportSeries
{
    /// <summary>The kinds that add to any series, one bit each.</summary>
    public static readonly ulong Kinds = Bits(
        ReportKind.BatteryReading,
        ReportKind.TemperatureReading,
        ReportKind.PanelReading,
        ReportKind.LoadReading,
        ReportKind.DriveState,
        ReportKind.AgentState);

    /// <summary>Adds the values of a report to a list. Values that cannot be believed are left out.</summary>
    public static void Collect(ReportBody body, List<(SeriesKey Series, long Units)> into)
    {
        var collector = new Collector(into);
        switch (body)
        {
            case BatteryReading battery:
                collector.Add(battery.Pack, SeriesQuantity.PackVolts, battery.Volts?.Value);
                collector.Add(battery.Pack, SeriesQuantity.PackAmperes, battery.Amperes?.Value);
                collector.Add(battery.Pack, SeriesQuantity.PackWatts, battery.Watts?.Value);
                collector.Add(battery.Pack, SeriesQuantity.PackCharge, battery.Charge?.Value);
                collector.Add(battery.Pack, SeriesQuantity.PackColdest, battery.ColdestProbe?.Value);
                collector.Add(battery.Pack, SeriesQuantity.PackWarmest, battery.WarmestProbe?.Value);
                break;
            case TemperatureReading thermometer:
                collector.Add(thermometer.Subject, SeriesQuantity.Temperature, thermometer.Temperature.Value, thermometer.Sensor);
                break;
            case PanelReading panel:
                collector.Add(panel.Panel, SeriesQuantity.PanelVolts, panel.Volts?.Value);
                collector.Add(panel.Panel, SeriesQuantity.PanelWatts, panel.Watts?.Value);
                collector.Add(panel.Panel, SeriesQuantity.PanelYieldTotal, panel.YieldTotal?.Value);
                break;
            case LoadReading load:
                collector.Add(load.Load, SeriesQuantity.LoadCharge, load.Charge?.Value);
                collector.Add(load.Load, SeriesQuantity.LoadWatts, load.Watts?.Value);
                collector.Add(load.Load, SeriesQuantity.LoadEnergyTotal, load.EnergyTotal?.Value);
                collector.Add(load.Load, SeriesQuantity.LoadTemperature, load.Temperature?.Value);
                break;
            case DriveState drive:
                collector.Add(drive.Drive, SeriesQuantity.DriveFree, drive.Free.Value);
                collector.Add(drive.Drive, SeriesQuantity.DriveTemperature, drive.Temperature?.Value);
                break;
            case AgentState agent when KitId.TryParse(agent.Node.Value, out KitId node):
                collector.Add(node, SeriesQuantity.AgentCharge, agent.Charge?.Value);
                break;
            default:
                break;
        }
    }

    private static ulong Bits(params ReadOnlySpan<ReportKind> kinds)
    {
        ulong bits = 0;
        foreach (ReportKind kind in kinds)
        {
            bits |= Segments.SegmentInfo.BitOf(kind);
        }

        return bits;
    }

    private readonly struct Collector(List<(SeriesKey Series, long Units)> into)
    {
        public void Add(KitId item, SeriesQuantity quantity, double? value, string sensor = "")
        {
            if (value is { } known && SeriesScale.Fixed(quantity, known) is { } units)
            {
                into.Add((new SeriesKey(item, quantity, sensor), units));
            }
        }
    }
}
