using System.Text.Json;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using NodaTime;

namespace KitMesh.Devices.Mapping;

// The line format is documented in docs/readers.md: one JSON object a line, "report" says the kind, numbers are in the
// unit of their name's table. Unknown names are errors, so that a typing mistake is seen at once.

/// <summary>One reading, note or formatted card as a line of JSON, as programs print and people's pages write it.</summary>
internal static class ReadingLine
{
    /// <summary>The longest line.</summary>
    public const int MaxLength = 16 * 1024;

    private static readonly JsonDocumentOptions Strict = new() { MaxDepth = 4 };

    /// <summary>Reads a line.</summary>
    /// <param name="line">The line.</param>
    /// <param name="source">How numbers without a <c>source</c> of their own came to be.</param>
    /// <param name="sample">The sample when the line is sound.</param>
    /// <returns>What is wrong; null when it is sound.</returns>
    public static string? Parse(string line, ReadingSource source, out Sample sample)
    {
        sample = default;
        if (line.Length > MaxLength)
        {
            return $"the line has more than {MaxLength} characters";
        }

        try
        {
            using JsonDocument document = JsonDocument.Parse(line, Strict);
            if (document.RootElement.ValueKind != JsonValueKind.Object)
            {
                return "it is no JSON object";
            }

            var fields = new LineFields(document.RootElement);
            ReportBody? body = Body(fields, source);
            Instant? taken = fields.Taken();
            string? complaint = fields.Complaint ?? fields.LeftOver();
            sample = new Sample(body!, taken);
            return complaint;
        }
        catch (JsonException e)
        {
            return $"it is no JSON: {e.Message}";
        }
    }

    private static ReportBody? Body(LineFields f, ReadingSource source)
    {
        switch (f.Word("report"))
        {
            case "battery":
                return new BatteryReading(
                    f.Subject(), Of<Volts>(f.Number("volts")), Of<Amperes>(f.Number("amperes")), Of<Watts>(f.Number("watts")),
                    Charge(f), f.Temperatures("probes"), Of<Volts>(f.Number("lowestCell")), Of<Volts>(f.Number("highestCell")),
                    f.Flag("rested"), source);
            case "panel":
                return new PanelReading(
                    f.Subject(), Of<Volts>(f.Number("volts")), Of<Amperes>(f.Number("amperes")), Of<Watts>(f.Number("watts")),
                    Of<WattHours>(f.Number("yieldTotal")), f.Number("sunHours"), source);
            case "load":
                return new LoadReading(
                    f.Subject(), f.Activity(), Charge(f), Of<Watts>(f.Number("watts")), Of<WattHours>(f.Number("energyTotal")),
                    f.Number("temperature") is { } own ? new Celsius(own) : null, source);
            case "temperature":
                return new TemperatureReading(f.Subject(), f.OptionalWord("sensor") ?? "", new Celsius(f.Needed("temperature")), source);
            case "note":
                return new Note(f.Word("author"), f.OptionalSubject(), f.Word("text"));
            case "formatted":
                return new CardFormatted(f.Subject(), null, Inferred: false);
            case "placed":
                return new KitPlaced(f.Subject(), f.OptionalKit("into"), f.Word("author"));
            case var other:
                f.Complain(other.Length == 0 ? null : $"\"{other}\" is no kind of report here; write battery, panel, load, temperature, note, formatted or placed");
                return null;
        }
    }

    private static T? Of<T>(double? number)
        where T : struct, IQuantity<T> => number is { } value ? T.Of(value) : null;

    private static StateOfCharge? Charge(LineFields f) => f.Number("charge") is { } percent ? StateOfCharge.FromPercent(percent) : null;
}
