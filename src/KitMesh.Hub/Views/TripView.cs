using KitMesh.Domain;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Results;
using KitMesh.Domain.State;
using KitMesh.Footage.Ledger;
using KitMesh.Hub.Ingest;
using KitMesh.Outlook.Advice;
using KitMesh.Outlook.Charging;
using KitMesh.Outlook.Energy;
using KitMesh.Outlook.Footage;
using NodaTime;

namespace KitMesh.Hub.Views;

/// <summary>Answers about the trip, computed from the merged state and kept until it changes.</summary>
internal sealed class TripView : IAsyncDisposable
{
    private static readonly LedgerQuery NoClips = new(Limit: 0);
    private static readonly TripAnswers NotYet = new(null, null, null, ["Not worked out yet."]);
    private readonly MergedView _view;
    private readonly ReadingHistory _history;
    private readonly AlertView _alerts;
    private readonly HubOptions _options;
    private readonly HubClocks _clocks;
    private readonly Cached<LedgerSnapshot> _ledger = new(Duration.FromMinutes(1));
    private readonly Cached<TripAnswers> _answers = new(Duration.FromMinutes(10));
    private readonly Renewal<TripAnswers> _renewal;
    private PastLedger? _past;

    public TripView(MergedView view, ReadingHistory history, AlertView alerts, HubOptions options, HubClocks clocks)
    {
        _view = view;
        _history = history;
        _alerts = alerts;
        _options = options;
        _clocks = clocks;
        _renewal = new Renewal<TripAnswers>(_answers, OutlooksAsync, clocks.Machine);
    }

    /// <summary>The merged state now.</summary>
    public MergedSnapshot Merged => _view.Now;

    /// <summary>The merged state with all that was durable before the question.</summary>
    public Task<MergedSnapshot> FreshAsync(CancellationToken cancellation) => _view.FreshAsync(cancellation);

    /// <summary>World time now.</summary>
    public Instant Now => _clocks.World.GetCurrentInstant();

    /// <summary>How many outlooks there were so far.</summary>
    public long OutlooksMade => _answers.Newest?.Number ?? 0;

    /// <summary>Completes with the next outlook.</summary>
    public Task WhenNextOutlookAsync(CancellationToken cancellation) => _answers.WhenNextAsync(cancellation);

    /// <summary>The footage ledger now.</summary>
    public Task<LedgerSnapshot> LedgerAsync(CancellationToken cancellation)
    {
        Instant now = Now;
        return _ledger.GetAsync(_view.Now.Version, now, () => Task.FromResult(_view.LedgerAt(now)), cancellation);
    }

    /// <summary>The footage ledger as it stood at a past moment; kept for the next page of the same question.</summary>
    public LedgerSnapshot LedgerOf(Instant past)
    {
        long version = _view.Now.Version;
        if (Volatile.Read(ref _past) is { } kept && kept.Version == version && kept.Ledger.AsOf == past)
        {
            return kept.Ledger;
        }

        LedgerSnapshot ledger = _view.LedgerOf(past);
        Volatile.Write(ref _past, new PastLedger(version, ledger));
        return ledger;
    }

    /// <summary>The outlooks now, with the hub's own seed and paths.</summary>
    public Task<TripAnswers> OutlooksAsync(CancellationToken cancellation)
    {
        Instant now = Now;
        MergedSnapshot merged = _view.Now;
        return _answers.GetAsync(merged.Version, now, () => ComputeAsync(merged.State, now, _options.OutlookSeed, _options.OutlookPaths, cancellation), cancellation);
    }

    /// <summary>The outlooks now with another seed or number of paths; 0 stands for the hub's own.</summary>
    public Task<TripAnswers> OutlooksAsync(ulong seed, int paths, CancellationToken cancellation) =>
        seed == 0 && paths == 0
            ? OutlooksAsync(cancellation)
            : ComputeAsync(_view.Now.State, Now, seed == 0 ? _options.OutlookSeed : seed, paths == 0 ? _options.OutlookPaths : paths, cancellation);

    /// <summary>The outlooks for a page: the newest at once, while the next is computed in the background.</summary>
    public async Task<Seen<TripAnswers>> LatestAsync(CancellationToken cancellation)
    {
        Seen<TripAnswers> seen = await _renewal.SeeAsync(_view.Now.Version, Now, _options.PagePatience, cancellation).ConfigureAwait(false);
        return seen with { Answer = seen.Answer ?? NotYet };
    }

    /// <summary>What to do next.</summary>
    public async Task<AdviceList> AdviceAsync(CancellationToken cancellation) =>
        await AdviceAsync(await OutlooksAsync(cancellation).ConfigureAwait(false), cancellation).ConfigureAwait(false);

    /// <summary>What to do next by some outlooks, and by the alerts and the ledger of now.</summary>
    public async Task<AdviceList> AdviceAsync(TripAnswers answers, CancellationToken cancellation)
    {
        LedgerSnapshot ledger = await LedgerAsync(cancellation).ConfigureAwait(false);
        IReadOnlyList<StandingAlert> standing = await _alerts.StandingAsync(cancellation).ConfigureAwait(false);
        return AdviceDesk.Advise(new AdviceQuestion(
            Now,
            answers.Energy,
            answers.Charging,
            ledger.View(NoClips),
            answers.Footage,
            standing.Select(alert => alert.Alert).ToValueList())
        {
            Zone = Merged.State.KitOf<Trip>().FirstOrDefault()?.ZoneOffset ?? Offset.Zero,
        });
    }

    private sealed record PastLedger(long Version, LedgerSnapshot Ledger);

    /// <inheritdoc/>
    public async ValueTask DisposeAsync()
    {
        await _renewal.DisposeAsync().ConfigureAwait(false);
        _ledger.Dispose();
        _answers.Dispose();
    }

    private async Task<TripAnswers> ComputeAsync(TripState state, Instant now, ulong seed, int paths, CancellationToken cancellation)
    {
        var missing = new List<string>();
        KitItem[] kit = [.. state.Kit];
        EnergyOutlook? energy = null;
        ChargingPlan? charging = null;
        int trips = kit.OfType<Trip>().Count();
        if (trips != 1)
        {
            missing.Add(trips == 0
                ? "No trip is declared, so nothing is known of the days to come. Start the hub with --trip, or declare the kit."
                : $"{trips} trips are declared. An outlook is for one trip: withdraw the others.");
        }
        else if (!kit.OfType<Bank>().Any())
        {
            missing.Add("No bank is declared, so there is no energy outlook. Declare banks, packs and loads in the trip file.");
        }
        else
        {
            ValueList<TimedReading> readings = await _history.ReadAsync(state, cancellation).ConfigureAwait(false);
            var question = new EnergyQuestion(now, kit.ToValueList(), readings, [], seed, paths);
            energy = EnergyForecaster.Answer(question);
            charging = ChargingPlanner.Plan(new ChargingQuestion(question, energy, ChargingPlanner.NextMorning(now, kit.OfType<Trip>().Single().ZoneOffset)));
        }

        FootageOutlook? footage = null;
        if (trips == 1)
        {
            Trip trip = kit.OfType<Trip>().Single();
            if (now.WithOffset(trip.ZoneOffset).Date < trip.FirstDay)
            {
                missing.Add($"The trip begins on {trip.FirstDay:uuuu-MM-dd}: the days until then are counted here as if the crew were out already. For the trip itself ask kitmesh plan.");
            }

            LedgerSnapshot ledger = await LedgerAsync(cancellation).ConfigureAwait(false);
            footage = FootageOutlooks.Answer(new FootageOutlookQuestion(ledger.Holdings()));
        }

        return new TripAnswers(energy, charging, footage, missing.ToValueList());
    }
}
