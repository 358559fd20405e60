using System.Globalization;
using System.Text;
using KitMesh.Domain.Results;
using NodaTime;
using NodaTime.Text;

namespace KitMesh.Export.Handover;

/// <summary>An inventory as a table with one line a copy (RFC 4180; UTF-8), for spreadsheets.</summary>
public static class InventoryCsv
{
    /// <summary>Its file.</summary>
    public const string FileName = "inventory.csv";

    private const string Head =
        "day,team,source,card,card_path,recorded_utc,length_seconds,size_bytes,xxh128,damage,meets_rule,missing,drive,case,drive_path,standing,last_proven_utc,read_back,reason";

    /// <summary>The file's text.</summary>
    /// <param name="inventory">The inventory.</param>
    public static string Write(Inventory inventory)
    {
        var text = new StringBuilder(Head).Append("\r\n");
        foreach (InventoryClip clip in inventory.Clips)
        {
            string[] of = Cells(clip);
            foreach (InventoryCopy? copy in clip.Copies.Count == 0 ? [null] : clip.Copies.Cast<InventoryCopy?>())
            {
                Line(text, [.. of, .. Cells(copy)]);
            }
        }

        return text.ToString();
    }

    private static string[] Cells(InventoryClip clip) =>
    [
        LocalDatePattern.Iso.Format(clip.Day),
        clip.Team?.Value ?? "",
        clip.Source?.Value ?? "",
        clip.Card.Value,
        clip.Path,
        Time(clip.Recorded),
        clip.Length?.TotalSeconds.ToString("0.###", CultureInfo.InvariantCulture) ?? "",
        clip.Size.Value.ToString(CultureInfo.InvariantCulture),
        clip.Xxh128.ToString(),
        clip.Damage ?? "",
        clip.MeetsRule ? "yes" : "no",
        clip.Missing ?? "",
    ];

    private static string[] Cells(InventoryCopy? copy) => copy is null
        ? ["", "", "", "none", "", "", "no copy was ever reported"]
        :
        [
            copy.Drive.Value,
            copy.Case?.Value ?? "",
            copy.Path,
            Word(copy.Standing),
            Time(copy.LastProven),
            copy.Level?.ToString() ?? "",
            copy.Reason ?? "",
        ];

    private static string Word(CopyStanding standing) => JsonName(standing.ToString());

    private static string JsonName(string name) => char.ToLowerInvariant(name[0]) + name[1..];

    private static string Time(Instant? time) => time is { } told ? InstantPattern.General.Format(told) : "";

    private static void Line(StringBuilder text, string[] cells)
    {
        for (int i = 0; i < cells.Length; i++)
        {
            text.Append(i == 0 ? "" : ",").Append(Quoted(cells[i]));
        }

        text.Append("\r\n");
    }

    private static string Quoted(string cell)
    {
        // A file name may begin like a formula; spreadsheets would run it.
        string safe = cell.Length > 0 && cell[0] is '=' or '+' or '-' or '@' ? $"'{cell}" : cell;
        return safe.AsSpan().IndexOfAny(",\"\r\n") >= 0 ? $"\"{safe.Replace("\"", "\"\"", StringComparison.Ordinal)}\"" : safe;
    }
}
