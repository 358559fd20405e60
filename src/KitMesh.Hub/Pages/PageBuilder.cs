using KitMesh.Domain.Kit;
using KitMesh.Domain.Results;
using KitMesh.Domain.State;
using KitMesh.Domain.Time;
using KitMesh.Hub.Views;
using NodaTime;

namespace KitMesh.Hub.Pages;

/// <summary>Gathers what a page shows.</summary>
internal sealed class PageBuilder(TripView trip, AlertView alerts)
{
    private static readonly LedgerQuery NoClips = new(Limit: 0);

    /// <summary>The page "Tonight".</summary>
    public async Task<TonightModel> TonightAsync(CancellationToken cancellation)
    {
        TripState state = trip.Merged.State;
        Instant now = trip.Now;
        Trip? declared = state.KitOf<Trip>().FirstOrDefault();
        Offset zone = declared?.ZoneOffset ?? Offset.Zero;
        TripAnswers answers = await trip.OutlooksAsync(cancellation).ConfigureAwait(false);
        AdviceList advice = await trip.AdviceAsync(cancellation).ConfigureAwait(false);
        IReadOnlyList<StandingAlert> standing = await alerts.StandingAsync(cancellation).ConfigureAwait(false);
        LedgerView ledger = (await trip.LedgerAsync(cancellation).ConfigureAwait(false)).View(NoClips);
        return new TonightModel(
            declared?.Id.Value ?? "No trip declared",
            declared is null ? "" : DayWords(declared, now.WithOffset(zone).Date),
            now,
            zone,
            state.Counts.Values.Sum(),
            advice,
            [.. standing.Select(alert => alert.Alert)],
            answers.Energy,
            answers.Charging,
            answers.Footage,
            ledger,
            [.. state.Nodes.Select(node => new NewsRow(node.Key, node.Value.LastHeard, PageText.Age(now - node.Value.LastHeard), ClockWords(node.Value)))],
            answers.Missing);
    }

    private static string DayWords(Trip trip, LocalDate today)
    {
        int days = Period.DaysBetween(trip.FirstDay, trip.LastDay) + 1;
        int day = Period.DaysBetween(trip.FirstDay, today) + 1;
        return day < 1 ? $"starts in {PageText.Count(1 - day, "day")}"
            : day > days ? $"ended {PageText.Count(day - days, "day")} ago"
            : $"day {day} of {days}";
    }

    private static string ClockWords(NodeSeen seen)
    {
        if (seen.ClockAhead is not { } ahead)
        {
            return seen.Trust == ClockTrust.Unknown ? "not compared yet" : "good";
        }

        Duration off = ahead < Duration.Zero ? -ahead : ahead;
        return off < Duration.FromMinutes(1) ? "good" : $"{PageText.Hours(off)} {(ahead > Duration.Zero ? "ahead" : "behind")}";
    }
}
