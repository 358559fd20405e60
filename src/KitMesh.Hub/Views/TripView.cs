using KitMesh.Domain.Results;
using KitMesh.Footage.Ledger;
using KitMesh.Hub.Ingest;
using NodaTime;

namespace KitMesh.Hub.Views;

/// <summary>Answers about the trip, computed from the merged state and kept until it changes.</summary>
internal sealed class TripView(MergedView view, HubClocks clocks) : IDisposable
{
    private static readonly Duration LedgerGoodFor = Duration.FromMinutes(1);
    private readonly Cached<LedgerSnapshot> _ledger = new(LedgerGoodFor);

    /// <summary>The merged state now.</summary>
    public MergedSnapshot Merged => view.Now;

    /// <summary>World time now.</summary>
    public Instant Now => clocks.World.GetCurrentInstant();

    /// <summary>The footage ledger now.</summary>
    public Task<LedgerSnapshot> LedgerAsync(CancellationToken cancellation)
    {
        Instant now = Now;
        return _ledger.GetAsync(view.Now.Version, now, () => Task.FromResult(view.LedgerAt(now)), cancellation);
    }

    /// <summary>The outlooks now.</summary>
    public Task<TripAnswers> OutlooksAsync(ulong seed, int paths, CancellationToken cancellation) => Task.FromResult(new TripAnswers(
        null,
        null,
        null,
        ["The energy outlook is not wired in.", "The footage outlook is not wired in."]));

    /// <summary>What to do next.</summary>
    public Task<AdviceList> AdviceAsync(CancellationToken cancellation) => Task.FromResult(new AdviceList(Now, [], 0));

    /// <inheritdoc/>
    public void Dispose() => _ledger.Dispose();
}
