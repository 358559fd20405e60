using KitMesh.Domain.Results;
using KitMesh.Domain.State;
using KitMesh.Hub.Digests;
using KitMesh.Hub.Views;
using NodaTime;

namespace KitMesh.Hub.Pages;

/// <summary>Gathers what the pages of answers show.</summary>
internal sealed class PageBuilder(TripView trip, AlertView alerts)
{
    private const int ShortClips = 100;
    private static readonly LedgerQuery NoClips = new(Limit: 0);
    private static readonly LedgerQuery OnlyShort = new(ShortOnly: true, Limit: ShortClips);

    /// <summary>The page "Tonight".</summary>
    public async Task<TonightModel> TonightAsync(CancellationToken cancellation)
    {
        TripState state = trip.Merged.State;
        Instant now = trip.Now;
        TripAnswers answers = await trip.OutlooksAsync(cancellation).ConfigureAwait(false);
        AdviceList advice = await trip.AdviceAsync(cancellation).ConfigureAwait(false);
        IReadOnlyList<StandingAlert> standing = await alerts.StandingAsync(cancellation).ConfigureAwait(false);
        LedgerView ledger = (await trip.LedgerAsync(cancellation).ConfigureAwait(false)).View(NoClips);
        return new TonightModel(
            PageHeads.Of(state, now),
            advice,
            [.. standing.Select(alert => alert.Alert)],
            answers.Energy,
            answers.Charging,
            answers.Footage,
            ledger,
            [.. state.Nodes.Select(node => new NewsRow(node.Key, node.Value.LastHeard, PageText.Age(now - node.Value.LastHeard), PageText.ClockWords(node.Value)))],
            HeardBoard.Of(state, now),
            answers.Missing);
    }

    /// <summary>The page "Energy".</summary>
    public async Task<EnergyModel> EnergyAsync(CancellationToken cancellation)
    {
        PageHead head = PageHeads.Of(trip.Merged.State, trip.Now);
        TripAnswers answers = await trip.OutlooksAsync(cancellation).ConfigureAwait(false);
        return new EnergyModel(head, answers.Energy, answers.Missing);
    }

    /// <summary>The page "Footage".</summary>
    public async Task<FootageModel> FootageAsync(CancellationToken cancellation)
    {
        PageHead head = PageHeads.Of(trip.Merged.State, trip.Now);
        TripAnswers answers = await trip.OutlooksAsync(cancellation).ConfigureAwait(false);
        LedgerView ledger = (await trip.LedgerAsync(cancellation).ConfigureAwait(false)).View(OnlyShort);
        return new FootageModel(head, ledger, answers.Footage);
    }

    /// <summary>The page "Kit".</summary>
    public KitModel Kit() => KitWords.Of(trip.Merged.State, trip.Now);
}
