using System.Text.Json;
using KitMesh.Demo.Power;
using KitMesh.Domain.Reports;

namespace KitMesh.Cli.Demonstration;

/// <summary>What the far teams type into a phone in the evening: rested volts, the cells' temperature, the panel's hours, their devices.</summary>
internal static class TypedReadings
{
    private static readonly JsonSerializerOptions Plain = new() { Encoder = System.Text.Encodings.Web.JavaScriptEncoder.UnsafeRelaxedJsonEscaping };

    /// <summary>Lines for one bank, in the format of the typed reader.</summary>
    public static IEnumerable<string> Of(BankTruth bank)
    {
        yield return Line(new { report = "battery", subject = bank.Declared.Id.Value, volts = Math.Round(bank.Volts, 2), probes = new[] { Math.Round(bank.CellCelsius, 1) }, rested = Math.Abs(bank.Amperes) < 0.5 });
        yield return Line(new { report = "temperature", subject = bank.Declared.Box!.Value.Value, sensor = "dial", temperature = Math.Round(bank.CellCelsius, 1) });
        foreach (PanelTruth panel in bank.Panels)
        {
            yield return Line(new { report = "panel", subject = panel.Declared.Id.Value, sunHours = Math.Round(panel.SunHours, 1) });
        }

        foreach (LoadTruth load in bank.Loads.Where(load => load.OwnCharge is not null))
        {
            yield return Line(new { report = "load", subject = load.Declared.Id.Value, activity = Word(load.Activity), charge = Math.Round(load.OwnCharge!.Value * 100) });
        }
    }

    private static string Word(ChargeActivity activity) => activity switch
    {
        ChargeActivity.Charging => "charging",
        ChargeActivity.Full => "full",
        _ => "discharging",
    };

    private static string Line(object value) => JsonSerializer.Serialize(value, Plain);
}
