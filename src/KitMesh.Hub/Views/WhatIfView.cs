using KitMesh.Domain.Kit;
using KitMesh.Domain.Results;
using KitMesh.Domain.State;
using KitMesh.Outlook.Energy;
using NodaTime;

namespace KitMesh.Hub.Views;

// Problem: a slider that is dragged asks many questions in a second, and each costs a good part of a core.
// Method: both sides of the comparison are rolled with the same seed and the same few paths, so that their difference is the
// change and not the draw; one is computed at a time; the side without the change is kept until the state changes.

/// <summary>Answers what a change would do to the energy, beside what is without it.</summary>
internal sealed class WhatIfView(TripView trip, ReadingHistory history, HubOptions options) : IDisposable
{
    /// <summary>Paths of a trial: odds to about 1 in 45, quick enough for a hand on a slider.</summary>
    public const int Paths = 2_000;

    private readonly SemaphoreSlim _one = new(1);
    private readonly Cached<Basis> _asItIs = new(Duration.FromMinutes(10));

    /// <summary>Both answers; null when there is nothing to compute from.</summary>
    public async Task<(EnergyOutlook AsItIs, EnergyOutlook Changed)?> TryAsync(WhatIf change, CancellationToken cancellation)
    {
        TripState state = trip.Merged.State;
        Instant now = trip.Now;
        if (!state.KitOf<Bank>().Any() || state.KitOf<Trip>().Take(2).ToArray() is not [Trip declared])
        {
            return null;
        }

        await _one.WaitAsync(cancellation).ConfigureAwait(false);
        try
        {
            Basis basis = await _asItIs.GetAsync(trip.Merged.Version, now, () => BasisAsync(state, now, cancellation), cancellation).ConfigureAwait(false);
            LocalDate today = basis.Question.Now.WithOffset(declared.ZoneOffset).Date;
            return (basis.Answer, change.ChangesAnything ? EnergyForecaster.Answer(change.Change(basis.Question, today, Paths)) : basis.Answer);
        }
        finally
        {
            _one.Release();
        }
    }

    /// <inheritdoc/>
    public void Dispose()
    {
        _one.Dispose();
        _asItIs.Dispose();
    }

    private async Task<Basis> BasisAsync(TripState state, Instant now, CancellationToken cancellation)
    {
        var question = new EnergyQuestion(now, [.. state.Kit], await history.ReadAsync(state, cancellation).ConfigureAwait(false), [], options.OutlookSeed, Paths);
        return new Basis(question, EnergyForecaster.Answer(question));
    }

    private sealed record Basis(EnergyQuestion Question, EnergyOutlook Answer);
}
