using System.Globalization;
using System.Text.Json.Nodes;
using KitMesh.Cli.Frame;
using KitMesh.Protocol.V1;
using Spectre.Console;

namespace KitMesh.Cli.Asking;

/// <summary>Draws the ledger for a person: cards first, since they are what gets formatted by mistake.</summary>
internal static class LedgerDrawing
{
    public static void Draw(DataOut output, GetLedgerResponse ledger, bool isNarrowed)
    {
        output.Heading($"Ledger, {new CrewClock(ledger.Zone).Heading(ledger.AsOf)}");
        if (ledger.Cards.Count == 0)
        {
            output.Line("  No card is known yet: none is declared, and no station has read one.");
            return;
        }

        Table table = DataOut.Table("Card", "Verdict", ">Clips", ">Meet the rule", ">Size", "Why");
        foreach (CardAnswer card in ledger.Cards)
        {
            table.AddRow(
                new Text(card.Card),
                new Text(Verdict(card.Verdict)),
                new Text(card.Clips.ToString(CultureInfo.InvariantCulture)),
                new Text(card.ClipsMet.ToString(CultureInfo.InvariantCulture)),
                new Text(Figures.Bytes(card.Bytes)),
                new Text(card.Reason));
        }

        output.Draw(table);
        output.Paragraph(ledger.Clips == 0 && isNarrowed
            ? "No clip is as asked."
            : ledger.Clips == 0
            ? "No clip is known yet: no station has read a card."
            : $"{Figures.Count(ledger.Clips, "clip")}, {Figures.Bytes(ledger.Bytes)}; {(ledger.ClipsMet == ledger.Clips ? "all meet" : $"{ledger.ClipsMet} of them meet")} the copy rule.");
    }

    /// <summary>The day × case grid: how many of each day's clips are proven in which case.</summary>
    public static void DrawDays(DataOut output, JsonArray days)
    {
        JsonObject[] rows = [.. days.OfType<JsonObject>()];
        if (rows.Length == 0)
        {
            return;
        }

        string[] cases = [.. rows.SelectMany(Cells).Select(cell => Word(cell, "case")).Distinct(StringComparer.Ordinal)
            .OrderBy(name => name.Length == 0).ThenBy(name => name, StringComparer.Ordinal)];
        output.Line();
        Table table = DataOut.Table(["Day", "Team", ">Clips", .. cases.Select(name => name.Length == 0 ? "in no case" : name), "Copy rule"]);
        foreach (JsonObject day in rows)
        {
            table.AddRow([
                new Text(Word(day, "day")),
                new Text(Word(day, "team")),
                new Text(Word(day, "clips")),
                .. cases.Select(name => new Text(Cell(day, name))),
                new Text(Rule(day))]);
        }

        output.Draw(table);
    }

    private static IEnumerable<JsonObject> Cells(JsonObject day) => (day["cases"] as JsonArray ?? []).OfType<JsonObject>();

    private static string Cell(JsonObject day, string name)
    {
        if (Cells(day).FirstOrDefault(cell => Word(cell, "case") == name) is not { } cell)
        {
            return "none";
        }

        (int clips, int proven, int overdue) = (Count(day, "clips"), Count(cell, "clips"), Count(cell, "overdueClips"));
        return proven == clips ? "all"
            : overdue == 0 ? $"{proven} of {clips}"
            : $"{(proven > 0 ? $"{proven} of {clips}; " : "")}recheck {(overdue == clips ? "all" : overdue.ToString(CultureInfo.InvariantCulture))}";
    }

    /// <summary>What only wants a recheck is not short of copies.</summary>
    private static string Rule(JsonObject day)
    {
        int overdue = Count(day, "overdueClips");
        int missing = Count(day, "clips") - Count(day, "clipsMet") - overdue;
        string recheck = overdue == 0 ? "" : $"recheck {overdue}";
        return missing == 0 ? (overdue == 0 ? "met by all" : recheck) : $"{missing} short{(overdue == 0 ? "" : "; " + recheck)}";
    }

    private static int Count(JsonObject node, string name) => int.TryParse(Word(node, name), NumberStyles.Integer, CultureInfo.InvariantCulture, out int count) ? count : 0;

    /// <summary>The clips of a narrowed question.</summary>
    public static void DrawClips(DataOut output, JsonArray clips, uint total)
    {
        if (total == 0)
        {
            return;
        }

        output.Line();
        Table table = DataOut.Table("Day", "Card", "Clip", ">Size", ">Proven", "Copies", "Missing");
        foreach (JsonObject clip in clips.OfType<JsonObject>())
        {
            table.AddRow(
                new Text(Word(clip, "day")),
                new Text(Word(clip, "card")),
                new Text(Word(clip, "path")),
                new Text(Figures.Bytes(double.TryParse(Word(clip, "size"), NumberStyles.Float, CultureInfo.InvariantCulture, out double size) ? (long)size : 0)),
                new Text(Word(clip, "provenCopies")),
                new Text(string.Join(", ", (clip["copies"] as JsonArray ?? []).OfType<JsonObject>().Select(Copy))),
                new Text(Word(clip, "missing")));
        }

        output.Draw(table);
        output.Line(clips.Count < total ? $"{clips.Count} of {total} clips are listed; --clips lists more." : $"All {total} clips that fit are listed.");
    }

    private static string Copy(JsonObject copy) => $"{Word(copy, "drive")} {Word(copy, "standing").ToLowerInvariant()}{(Word(copy, "case") is { Length: > 0 } inside ? $" in {inside}" : "")}";

    private static string Word(JsonObject node, string name) => node[name]?.ToString() ?? "";

    internal static string Verdict(CardVerdict verdict) => verdict switch
    {
        CardVerdict.OnHold => "ON HOLD",
        CardVerdict.MayBeFormatted => "may be formatted",
        CardVerdict.Formatted => "formatted",
        CardVerdict.FormattedShort => "FORMATTED, SHORT OF COPIES",
        CardVerdict.NotSeen => "not seen: do not format",
        _ => "not told: do not format",
    };
}
