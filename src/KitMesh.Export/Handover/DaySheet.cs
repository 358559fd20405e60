using System.Globalization;
using System.Net;
using System.Text;
using KitMesh.Domain;
using KitMesh.Domain.Reports;
using NodaTime;
using NodaTime.Text;

namespace KitMesh.Export.Handover;

/// <summary>The sheet of one day, for paper and browsers: what, how long, which recorder covers which clip, what is missing or damaged.</summary>
internal static class DaySheet
{
    private static readonly LocalTimePattern Clock = LocalTimePattern.CreateWithInvariantCulture("HH:mm:ss");

    /// <summary>The file of a day.</summary>
    /// <param name="day">The day.</param>
    public static string FileName(LocalDate day) => $"days/{LocalDatePattern.Iso.Format(day)}.html";

    /// <summary>The sheet.</summary>
    /// <param name="inventory">The inventory.</param>
    /// <param name="day">The day.</param>
    public static string Write(Inventory inventory, LocalDate day)
    {
        InventoryClip[] clips = [.. inventory.Clips.Where(clip => clip.Day == day)];
        var page = new StringBuilder();
        string title = $"{(inventory.Trip is { } trip ? $"{trip}, " : "")}{LocalDatePattern.Iso.Format(day)}";
        page.Append("<!DOCTYPE html>\n<html lang=\"en\"><head><meta charset=\"utf-8\"><title>").Append(Text(title)).Append("</title>\n<style>")
            .Append("body{font:14px/1.4 sans-serif;margin:1.5em;color:#000;background:#fff}table{border-collapse:collapse;width:100%;margin:.5em 0 1.5em}")
            .Append("th,td{border:1px solid #777;padding:.2em .5em;text-align:left;vertical-align:top}td.n{text-align:right;white-space:nowrap}")
            .Append("h1{font-size:1.4em}h2{font-size:1.1em}@media print{body{margin:0;font-size:10pt}tr{break-inside:avoid}}</style></head><body>\n");
        page.Append("<h1>").Append(Text(title)).Append("</h1>\n<p>").Append(Text(Summary(inventory, clips))).Append("</p>\n");
        Troubles(page, clips);
        IReadOnlyDictionary<InventoryClip, ValueList<SoundBeside>> sound = SoundCover.Match(clips);
        foreach (IGrouping<KitId?, InventoryClip> team in clips.GroupBy(clip => clip.Team).OrderBy(team => team.Key))
        {
            page.Append("<h2>").Append(Text(team.Key?.Value ?? "no team told")).Append("</h2>\n");
            Table(page, inventory, [.. team], sound);
        }

        Offsets(page, sound);
        return page.Append("</body></html>\n").ToString();
    }

    private static string Summary(Inventory inventory, InventoryClip[] clips) => string.Create(
        CultureInfo.InvariantCulture,
        $"{clips.Length} clips, {new Domain.Quantities.ByteCount(clips.Sum(clip => clip.Size.Value))}, {Length(clips.Aggregate(Duration.Zero, (sum, clip) => sum + (clip.Length ?? Duration.Zero)))} of running time as far as the files tell. As of {InstantPattern.General.Format(inventory.AsOf)}; times are the crew's, UTC{OffsetPattern.GeneralInvariant.Format(inventory.ZoneOffset)}, by each camera's own clock.");

    private static void Troubles(StringBuilder page, InventoryClip[] clips)
    {
        List<string> lines =
        [
            .. clips.Where(clip => !clip.HasGoodCopy).Select(clip => $"MISSING: {clip.Path} ({clip.Source?.Value ?? clip.Card.Value}): no good copy of it is known"),
            .. clips.Where(clip => clip.Damage is not null).Select(clip => $"DAMAGED: {clip.Path} ({clip.Source?.Value ?? clip.Card.Value}): {clip.Damage}"),
            .. clips.Where(clip => clip.HasGoodCopy && !clip.MeetsRule).Select(clip => $"SHORT: {clip.Path} ({clip.Source?.Value ?? clip.Card.Value}): {clip.Missing}"),
            .. NumberGaps.Of(clips).Select(gap => $"NOT SEEN: {gap.Missing} on {gap.Card}: the number is skipped; deleted in the camera, or never read"),
        ];
        page.Append("<h2>Missing or damaged</h2>\n");
        if (lines.Count == 0)
        {
            page.Append("<p>Nothing: every clip has good copies as its rule asks, none is known to be damaged, and no number is skipped.</p>\n");
            return;
        }

        page.Append("<ul>\n");
        foreach (string line in lines)
        {
            page.Append("<li>").Append(Text(line)).Append("</li>\n");
        }

        page.Append("</ul>\n");
    }

    private static void Table(StringBuilder page, Inventory inventory, InventoryClip[] clips, IReadOnlyDictionary<InventoryClip, ValueList<SoundBeside>> sound)
    {
        page.Append("<table><thead><tr><th>Source</th><th>File on its card</th><th>Begins</th><th>Runs</th><th>Size</th><th>Sound beside it</th><th>Good copies on</th></tr></thead><tbody>\n");
        foreach (InventoryClip clip in clips
            .OrderBy(clip => clip.Source)
            .ThenBy(clip => clip.Recorded ?? Instant.MaxValue)
            .ThenBy(clip => clip.Path, StringComparer.Ordinal))
        {
            string begins = clip.Recorded is { } recorded ? Clock.Format(recorded.WithOffset(inventory.ZoneOffset).TimeOfDay) : "not told";
            page.Append("<tr><td>").Append(Text(clip.Source?.Value ?? "not told"))
                .Append("</td><td>").Append(Text($"{clip.Card}: {clip.Path}"))
                .Append("</td><td class=\"n\">").Append(Text(begins))
                .Append("</td><td class=\"n\">").Append(Text(clip.Length is { } length ? Length(length) : "not told"))
                .Append("</td><td class=\"n\">").Append(Text(clip.Size.ToString()))
                .Append("</td><td>").Append(Text(Sound(clip, sound)))
                .Append("</td><td>").Append(Text(string.Join(", ", clip.Copies.Where(copy => copy.IsGood).Select(copy => copy.Drive.Value).Distinct())))
                .Append("</td></tr>\n");
        }

        page.Append("</tbody></table>\n");
    }

    private static string Sound(InventoryClip clip, IReadOnlyDictionary<InventoryClip, ValueList<SoundBeside>> sound)
    {
        if (SoundCover.IsSound(clip))
        {
            return "is sound";
        }

        if (!sound.TryGetValue(clip, out ValueList<SoundBeside>? beside))
        {
            return "cannot be told: the file tells no time";
        }

        return beside.Count == 0
            ? "none"
            : string.Join("; ", beside.Select(match => string.Create(CultureInfo.InvariantCulture, $"{match.Recorder} {match.Path} ({match.Share * 100:0} %{(match.ByTimecode ? ", by timecode" : ", by clock")})")));
    }

    private static void Offsets(StringBuilder page, IReadOnlyDictionary<InventoryClip, ValueList<SoundBeside>> sound)
    {
        string[] offsets = [.. sound
            .SelectMany(picture => picture.Value.Where(beside => !beside.ByTimecode).Select(beside => (Camera: picture.Key.Source?.Value ?? "a camera", beside.Recorder, beside.Offset)))
            .Distinct()
            .OrderBy(pair => pair.Camera, StringComparer.Ordinal)
            .ThenBy(pair => pair.Recorder)
            .Select(pair => string.Create(CultureInfo.InvariantCulture, $"{pair.Recorder} to {pair.Camera}: {pair.Offset.TotalSeconds:+0;-0;0} s"))];
        if (offsets.Length > 0)
        {
            page.Append("<p>Where timecode did not tell, sound was matched by clock, with these offsets learnt from the day: ").Append(Text(string.Join("; ", offsets)))
                .Append(".</p>\n");
        }
    }

    private static string Length(Duration length) => string.Create(
        CultureInfo.InvariantCulture, $"{(long)length.TotalHours}:{length.Minutes:00}:{length.Seconds:00}");

    private static string Text(string text) => WebUtility.HtmlEncode(text);
}
