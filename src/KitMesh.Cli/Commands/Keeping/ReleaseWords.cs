using System.Globalization;
using System.Text.Json.Nodes;
using KitMesh.Domain.Quantities;

namespace KitMesh.Cli.Commands.Keeping;

/// <summary>What a keeper is shown before a release, in one sentence with figures: it goes into the report.</summary>
internal static class ReleaseWords
{
    private const int MostNamed = 5;

    public static string Given(JsonObject card, JsonArray clips, uint total)
    {
        JsonObject[] shown = [.. clips.OfType<JsonObject>()];
        long bytes = shown.Sum(clip => Whole(clip, "size"));
        IEnumerable<string> byCopies = shown
            .GroupBy(clip => Whole(clip, "provenCopies"))
            .OrderBy(group => group.Key)
            .Select(group => string.Create(CultureInfo.InvariantCulture, $"{group.Count()} with {group.Key switch { 0 => "no proven copy", 1 => "one proven copy", _ => $"{group.Key} proven copies" }}"));
        string[] worst = [.. shown.OrderBy(clip => Whole(clip, "provenCopies")).Take(MostNamed).Select(clip => $"{clip["path"]} ({clip["missing"]})")];
        string named = worst.Length == 0 ? "" : $": {string.Join(", ", byCopies)}; such as {string.Join("; ", worst)}";
        return string.Create(
            CultureInfo.InvariantCulture,
            $"{total} of {Whole(card, "clips")} clips are short of proof, {new ByteCount(bytes)}{named}. The card was on hold because: {card["reason"]}");
    }

    private static long Whole(JsonObject node, string name) =>
        double.TryParse(node[name]?.ToString(), NumberStyles.Float, CultureInfo.InvariantCulture, out double value) ? (long)value : 0;
}
