using KitMesh.Domain.Kit;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using KitMesh.Domain.State;
using KitMesh.Footage.Ledger;
using KitMesh.Hub.Digests;
using KitMesh.Hub.Enrolment;
using KitMesh.Hub.Links;
using KitMesh.Hub.Views;
using KitMesh.Protocol.Certificates;
using NodaTime;

namespace KitMesh.Hub.Pages;

/// <summary>Gathers what the pages of answers show.</summary>
internal sealed class PageBuilder(TripView trip, AlertView alerts, LoadBuilder loads, LinkBook links, HubOptions options)
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
        Seen<TripAnswers> seen = await trip.LatestAsync(cancellation).ConfigureAwait(false);
        TripAnswers answers = seen.Answer!;
        AdviceList advice = await trip.AdviceAsync(answers, cancellation).ConfigureAwait(false);
        IReadOnlyList<StandingAlert> standing = await alerts.StandingAsync(cancellation).ConfigureAwait(false);
        LedgerView ledger = (await trip.LedgerAsync(cancellation).ConfigureAwait(false)).View(NoClips);
        return new TonightModel(
            PageHeads.Of(state, now, seen),
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
        TripState state = trip.Merged.State;
        Instant now = trip.Now;
        Seen<TripAnswers> seen = await trip.LatestAsync(cancellation).ConfigureAwait(false);
        TripAnswers answers = seen.Answer!;
        var banks = state.KitOf<Pack>().Where(pack => pack.Bank is not null).ToDictionary(pack => pack.Id, pack => pack.Bank!.Value);
        ILookup<KitId, ReadingRow> packs = state.Batteries.Values.ToLookup(reading => banks.GetValueOrDefault(reading.Body.Pack, reading.Body.Pack), reading => KitWords.BatteryRow(reading, now));
        PageHead head = PageHeads.Of(state, now, seen);
        return new EnergyModel(head, answers.Energy, packs, await loads.RowsAsync(state, now, head.Zone, cancellation).ConfigureAwait(false), answers.Missing);
    }

    /// <summary>The page "Footage".</summary>
    public async Task<FootageModel> FootageAsync(CancellationToken cancellation)
    {
        Seen<TripAnswers> seen = await trip.LatestAsync(cancellation).ConfigureAwait(false);
        TripAnswers answers = seen.Answer!;
        LedgerSnapshot ledger = await trip.LedgerAsync(cancellation).ConfigureAwait(false);
        LedgerView all = ledger.View(AllClips);
        return new FootageModel(
            PageHeads.Of(trip.Merged.State, trip.Now, seen),
            ledger.View(OnlyShort),
            answers.Footage,
            FootageDesk.BySource(all),
            FootageDesk.Sound(all),
            [.. all.Clips.Where(clip => clip.Damage is not null)],
            all.ClipsTotal);
    }

    /// <summary>The page "Morning".</summary>
    public async Task<MorningModel> MorningAsync(CancellationToken cancellation)
    {
        Seen<TripAnswers> seen = await trip.LatestAsync(cancellation).ConfigureAwait(false);
        TripAnswers answers = seen.Answer!;
        LedgerView ledger = (await trip.LedgerAsync(cancellation).ConfigureAwait(false)).View(AllClips);
        MorningModel model = MorningDesk.Of(trip.Merged.State, ledger, answers.Energy, trip.Now);
        return model with { Head = model.Head.With(seen) };
    }

    /// <summary>The page "Trip".</summary>
    /// <param name="mayTell">Whether the reader may enter anything.</param>
    /// <param name="said">The answer to the last entry.</param>
    /// <param name="cancellation">Gives up.</param>
    public async Task<TripModel> TripAsync(bool mayTell, string? said, CancellationToken cancellation)
    {
        TripState state = trip.Merged.State;
        Instant now = trip.Now;
        Seen<TripAnswers> seen = await trip.LatestAsync(cancellation).ConfigureAwait(false);
        TripAnswers answers = seen.Answer!;
        LedgerView ledger = (await trip.LedgerAsync(cancellation).ConfigureAwait(false)).View(NoClips);
        IReadOnlyList<StandingAlert> standing = await alerts.StandingAsync(cancellation).ConfigureAwait(false);
        return new TripModel(
            PageHeads.Of(state, now, seen),
            TripDesk.Teams(state, answers, ledger, [.. standing.Select(alert => alert.Alert)], now),
            [.. Names<Case>(state), .. Names<Drive>(state), .. Names<FootageSource>(state), .. Names<Team>(state)],
            [.. Names<Person>(state), .. Names<Case>(state), .. Names<Team>(state), .. Names<Place>(state)],
            [.. state.KitOf<Load>().Where(load => load.Battery is not null).Select(load => load.Id.Value)],
            [.. Names<FootageSource>(state)],
            [.. Names<Place>(state)],
            now.WithOffset(PageHeads.Of(state, now).Zone).Date,
            mayTell,
            TripTelling.Words(said),
            TripTelling.IsRefusal(said),
            TripDesk.Notes(state, now));
    }

    private static IEnumerable<string> Names<T>(TripState state)
        where T : KitItem => state.KitOf<T>().Select(item => item.Id.Value);

    /// <summary>The page "Kit".</summary>
    /// <param name="caller">Who reads; null on a hub that asks nobody.</param>
    /// <param name="invite">An invitation that was just asked for.</param>
    public KitModel Kit(Caller? caller, InviteMade? invite = null) => KitWords.Of(trip.Merged.State, trip.Now, links, options.Node) with
    {
        Way = caller is null ? JoinWay.OnlyThisMachine : caller.HasAny(MeshRoles.Keeper) ? JoinWay.Keeper : JoinWay.NoKeeper,
        Invite = invite,
    };
}
