using KitMesh.Domain.Kit;
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
    private static readonly LedgerQuery AllClips = new(Limit: LedgerQuery.MaxLimit);
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

    /// <summary>The page "Morning".</summary>
    public async Task<MorningModel> MorningAsync(CancellationToken cancellation)
    {
        TripAnswers answers = await trip.OutlooksAsync(cancellation).ConfigureAwait(false);
        LedgerView ledger = (await trip.LedgerAsync(cancellation).ConfigureAwait(false)).View(AllClips);
        return MorningDesk.Of(trip.Merged.State, ledger, answers.Energy, trip.Now);
    }

    /// <summary>The page "Trip".</summary>
    /// <param name="mayTell">Whether the reader may enter anything.</param>
    /// <param name="said">The answer to the last entry.</param>
    /// <param name="cancellation">Gives up.</param>
    public async Task<TripModel> TripAsync(bool mayTell, string? said, CancellationToken cancellation)
    {
        TripState state = trip.Merged.State;
        Instant now = trip.Now;
        TripAnswers answers = await trip.OutlooksAsync(cancellation).ConfigureAwait(false);
        LedgerView ledger = (await trip.LedgerAsync(cancellation).ConfigureAwait(false)).View(NoClips);
        IReadOnlyList<StandingAlert> standing = await alerts.StandingAsync(cancellation).ConfigureAwait(false);
        return new TripModel(
            PageHeads.Of(state, now),
            TripDesk.Teams(state, answers, ledger, [.. standing.Select(alert => alert.Alert)], now),
            [.. Names<Case>(state), .. Names<Drive>(state), .. Names<FootageSource>(state), .. Names<Team>(state)],
            [.. Names<Person>(state), .. Names<Case>(state), .. Names<Team>(state), .. Names<Place>(state)],
            [.. state.KitOf<Load>().Where(load => load.Battery is not null).Select(load => load.Id.Value)],
            [.. Names<FootageSource>(state)],
            mayTell,
            TripTelling.Words(said),
            TripTelling.IsRefusal(said),
            TripDesk.Notes(state, now));
    }

    private static IEnumerable<string> Names<T>(TripState state)
        where T : KitItem => state.KitOf<T>().Select(item => item.Id.Value);

    /// <summary>The page "Kit".</summary>
    public KitModel Kit() => KitWords.Of(trip.Merged.State, trip.Now);
}
