using System.Globalization;
using System.Text;
using KitMesh.Domain.Planning;

namespace KitMesh.TripFile.Learnt;

/// <summary>Writes what trips taught as YAML that a person can read. The same knowledge gives the same bytes.</summary>
public static class LearntFileWriter
{
    /// <summary>Version of the file's shape.</summary>
    public const int Version = 1;

    /// <summary>The text.</summary>
    /// <param name="learnt">What trips taught.</param>
    public static string Write(LearntKit learnt)
    {
        ArgumentNullException.ThrowIfNull(learnt);
        var text = new StringBuilder();
        text.Append("# Written by kitmesh learn, read by kitmesh plan --kit (docs/trip-file.md). Plans use posteriors and kinds; learn pools the evidence again\n");
        text.Append("# when a trip comes to it. To forget a trip, delete its lines under evidence and run kitmesh learn again.\n");
        text.Append(CultureInfo.InvariantCulture, $"version: {Version}\n");
        Section(text, "posteriors", learnt.Posteriors.Select(one => Line(
            ("item", Quoted(one.Item.Value)), ("figure", Name(one.Figure)), ("unit", Quoted(one.Unit)), ("value", Number(one.Value)), ("doubt", Number(one.Doubt)), ("daySpread", Number(one.DaySpread)),
            ("perKelvin", Number(one.PerKelvin)), ("meanAir", Number(one.MeanAir)), ("trips", $"[{string.Join(", ", one.Trips.Select(Quoted))}]"), ("evidence", Whole(one.Evidence)), ("fromItsKind", Number(one.FromItsKind)))));
        Section(text, "kinds", learnt.Kinds.Select(one => Line(
            ("kind", Quoted(one.Kind)), ("figure", Name(one.Figure)), ("factor", Number(one.Factor)), ("doubt", Number(one.Doubt)), ("items", Whole(one.Items)))));
        Section(text, "evidence", learnt.Evidence.Select(one => Line(
            ("trip", Quoted(one.Trip)), ("item", Quoted(one.Item.Value)), ("figure", Name(one.Figure)), ("kind", Quoted(one.Kind)), ("unit", Quoted(one.Unit)), ("declared", Number(one.Declared)),
            ("value", Number(one.Value)), ("doubt", Number(one.Doubt)), ("daySpread", Number(one.DaySpread)), ("evidence", Whole(one.Evidence)), ("of", Quoted(one.EvidenceOf)), ("perKelvin", Number(one.PerKelvin)), ("meanAir", Number(one.MeanAir)))));
        return text.ToString();
    }

    internal static string Name(LearntFigure figure) => JsonNameOf(figure.ToString());

    private static string JsonNameOf(string name) => char.ToLowerInvariant(name[0]) + name[1..];

    private static void Section(StringBuilder text, string name, IEnumerable<string> lines)
    {
        string[] all = [.. lines];
        text.Append(name).Append(all.Length == 0 ? ": []\n" : ":\n");
        foreach (string line in all)
        {
            text.Append("  - ").Append(line).Append('\n');
        }
    }

    private static string Line(params ReadOnlySpan<(string Key, string? Value)> entries)
    {
        var line = new StringBuilder("{ ");
        foreach ((string key, string? value) in entries)
        {
            if (value is not null)
            {
                line.Append(line.Length > 2 ? ", " : "").Append(key).Append(": ").Append(value);
            }
        }

        return line.Append(" }").ToString();
    }

    private static string? Number(double? value) => value?.ToString("R", CultureInfo.InvariantCulture);

    private static string Whole(int value) => value.ToString(CultureInfo.InvariantCulture);

    private static string Quoted(string text) => $"\"{text.Replace("\\", "\\\\", StringComparison.Ordinal).Replace("\"", "\\\"", StringComparison.Ordinal)}\"";
}
