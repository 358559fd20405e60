using KitMesh.Domain.Kit;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using NodaTime;

namespace KitMesh.Export.Account;

/// <summary>Adds up footage by day and source.</summary>
internal static class FootageSums
{
    internal static IEnumerable<FootageSum> Of(IEnumerable<TimedReport> events, KitItem[] kit, ScopeSpan span)
    {
        Dictionary<KitId, KitId?> writers = kit.OfType<Card>().GroupBy(card => card.Id).ToDictionary(cards => cards.Key, cards => cards.First().Source);
        var seen = new HashSet<ClipHash>();
        var sums = new SortedDictionary<(LocalDate Day, string Source), FootageSum>();
        foreach (TimedReport timed in events)
        {
            if (timed.Report.Body is not ClipFound clip || !seen.Add(clip.Clip))
            {
                continue;
            }

            // A camera whose clock is dead would put its clips into another year: then the day of reading stands in.
            LocalDate day = clip.Recorded is { } at && timed.Time - at is { TotalDays: >= -2 and <= 60 } ? span.DayOf(at) : span.DayOf(timed.Time);
            KitId? source = clip.Source ?? writers.GetValueOrDefault(clip.Card);
            if (!span.Holds(day) || !span.IsOurs(source?.Value, clip.Card.Value))
            {
                continue;
            }

            (LocalDate, string) key = (day, source?.Value ?? "");
            FootageSum sum = sums.GetValueOrDefault(key) ?? new FootageSum(day, source, 0, ByteCount.Zero, Duration.Zero);
            sums[key] = sum with { Clips = sum.Clips + 1, Size = new ByteCount(sum.Size.Value + clip.Size.Value), Length = sum.Length + (clip.Length ?? Duration.Zero) };
        }

        return sums.Values;
    }
}
