using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Time;

namespace KitMesh.Hub.Ingest;

/// <summary>Says what is odd about a report. Nothing is refused for it: odd reports are kept, marked and left out of the models.</summary>
internal static class ReportOddity
{
    /// <summary>What is odd, in words; null when nothing is.</summary>
    public static string? Of(Report report) => report.Body switch
    {
        UnknownBody unknown => $"it cannot be read: {unknown.Reason}",
        BatteryReading battery when !Fine(battery.Volts?.Value, battery.Amperes?.Value, battery.Watts?.Value, battery.LowestCell?.Value, battery.HighestCell?.Value) => "a value is no number",
        BatteryReading battery when battery.Charge is { } charge && !InUnit(charge.Value) => "the state of charge is not between 0 and 1",
        BatteryReading battery when battery.Probes.Any(probe => !probe.IsPhysical) => "a probe gives an impossible temperature",
        TemperatureReading thermometer when !thermometer.Temperature.IsPhysical => "the temperature is impossible",
        PanelReading panel when !Fine(panel.Volts?.Value, panel.Amperes?.Value, panel.Watts?.Value, panel.YieldTotal?.Value, panel.SunHours) => "a value is no number",
        LoadReading load when !Fine(load.Watts?.Value, load.EnergyTotal?.Value) => "a value is no number",
        LoadReading load when load.Charge is { } charge && !InUnit(charge.Value) => "the state of charge is not between 0 and 1",
        _ when !Retiming.IsPlausible(report.Written.Wall) => $"its clock said {report.Written.Wall}, which cannot be right",
        _ => null,
    };

    private static bool Fine(params ReadOnlySpan<double?> values)
    {
        foreach (double? value in values)
        {
            if (value is { } known && !double.IsFinite(known))
            {
                return false;
            }
        }

        return true;
    }

    private static bool InUnit(double value) => value is >= 0 and <= 1;
}
