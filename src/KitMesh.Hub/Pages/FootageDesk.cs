using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using KitMesh.Footage.Clips;
using NodaTime;

namespace KitMesh.Hub.Pages;

/// <summary>Gathers what the page "Footage" shows by source: copies and cases of each day, recorders' sound, and what is wrong with clips.</summary>
internal static class FootageDesk
{
    private const int NewestDays = 3;
    private const int MostLacks = 8;
    private static readonly string[] SoundEndings = [".wav", ".bwf", ".m4a"];

    /// <summary>One row a day and source, newest first: what falls short whatever its age, and the newest days.</summary>
    public static IReadOnlyList<SourceDayRow> BySource(LedgerView ledger)
    {
        HashSet<LocalDate> newest = Newest(ledger.Clips.Select(clip => clip.Day));
        return
        [
            .. ledger.Clips
                .GroupBy(clip => (clip.Day, Source: (clip.Source ?? clip.Card).Value))
                .Where(group => newest.Contains(group.Key.Day) || group.Any(clip => !clip.MeetsRule))
                .OrderByDescending(group => group.Key.Day)
                .ThenBy(group => group.Key.Source, StringComparer.Ordinal)
                .Select(group => Row(group.Key.Day, group.Key.Source, [.. group])),
        ];
    }

    /// <summary>Recorders' sound beside the picture of the newest days, newest first.</summary>
    public static IReadOnlyList<SoundDayRow> Sound(LedgerView ledger)
    {
        HashSet<LocalDate> newest = Newest(ledger.Clips.Where(clip => !IsSound(clip)).Select(clip => clip.Day));
        return [.. newest.OrderDescending().Select(day => SoundOf(day, [.. ledger.Clips.Where(clip => clip.Day == day)]))];
    }

    private static HashSet<LocalDate> Newest(IEnumerable<LocalDate> days) => [.. days.Distinct().OrderDescending().Take(NewestDays)];

    private static SourceDayRow Row(LocalDate day, string source, ClipRow[] clips)
    {
        int met = clips.Count(clip => clip.MeetsRule);
        int least = clips.Min(clip => clip.ProvenCopies);
        return new SourceDayRow(
            day,
            source,
            PageText.Count(clips.Length, "clip"),
            $"{(least == 0 ? "○" : least == 1 ? "◐" : "●")} {Span(least, clips.Max(clip => clip.ProvenCopies), "copy", "copies")}",
            Span(clips.Min(clip => clip.ProvenCases), clips.Max(clip => clip.ProvenCases), "case", "cases"),
            met == clips.Length ? "✓ met by all" : $"✗ {clips.Length - met} of {clips.Length} fall short");
    }

    private static string Span(int least, int most, string one, string many) => least == most ? PageText.Count(least, one, many) : $"{least} to {most} {many}";

    private static bool IsSound(ClipRow clip) => SoundEndings.Contains(Path.GetExtension(clip.Path), StringComparer.OrdinalIgnoreCase);

    private static SoundDayRow SoundOf(LocalDate day, ClipRow[] clips)
    {
        ClipTimes[] timed =
        [
            .. clips
                .Where(clip => clip.Recorded is not null && clip.Length is { } length && length > Duration.Zero)
                .Select(clip => new ClipTimes(clip.Path, (clip.Source ?? clip.Card).Value, IsSound(clip), clip.Recorded!.Value, clip.Length!.Value, clip.Timecode)),
        ];
        IReadOnlyList<SoundFinding> found = SoundMatch.Find(timed);
        string[] lacks = [.. found.Select(finding => finding.Lack).OfType<string>()];
        int untold = clips.Count(clip => !IsSound(clip)) - found.Count;
        string words = found.Count == 0 ? "? no picture clip tells its time"
            : lacks.Length == 0 ? $"✓ {PageText.Count(found.Count, "picture clip")} with a recorder's sound throughout"
            : $"✗ {lacks.Length} of {PageText.Count(found.Count, "picture clip")} lack a recorder's sound in part or whole";
        return new SoundDayRow(day, words + (untold > 0 && found.Count > 0 ? $"; {untold} more do not tell their time" : ""), [.. lacks.Take(MostLacks)], Math.Max(0, lacks.Length - MostLacks));
    }
}
