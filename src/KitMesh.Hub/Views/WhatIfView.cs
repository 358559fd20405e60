using KitMesh.Domain.Kit;
using KitMesh.Domain.Results;
using KitMesh.Domain.State;
using KitMesh.Hub.Ingest;
using KitMesh.Outlook.Energy;
using NodaTime;

namespace KitMesh.Hub.Views;

// Problem: a slider that is dragged asks many questions in a second, and each costs a good part of a core.
// Method: both sides of the comparison are rolled with the same seed and the same few paths, so that their difference is the
// change and not the draw; one is computed at a time; the side without the change is kept until the state changes.

/// <summary>Answers what a change would do to the energy, beside what is without it.</summary>
internal sealed class WhatIfView : IAsyncDisposable
{
    /// <summary>Paths of a trial: odds to about 1 in 45, quick enough for a hand on a slider.</summary>
    public const int Paths = 2_000;

    private readonly TripView _trip;
    private readonly ReadingHistory _history;
    private readonly HubOptions _options;
    private readonly SemaphoreSlim _one = new(1);
    private readonly Cached<Basis> _asItIs = new(Duration.FromMinutes(10));
    private readonly Renewal<Basis> _renewal;

    public WhatIfView(TripView trip, ReadingHistory history, HubOptions options, HubClocks clocks)
    {
        _trip = trip;
        _history = history;
        _options = options;
        _renewal = new Renewal<Basis>(_asItIs, RenewAsync, clocks.Machine);
    }

    /// <summary>Both answers; null when there is nothing to compute from. They may be of a while ago, both of the same moment.</summary>
    public async Task<Seen<WhatIfAnswers>?> TryAsync(WhatIf change, CancellationToken cancellation)
    {
        TripState state = _trip.Merged.State;
        if (!state.KitOf<Bank>().Any() || state.KitOf<Trip>().Take(2).ToArray() is not [Trip declared])
        {
            return null;
        }

        Seen<Basis> seen = await _renewal.SeeAsync(_trip.Merged.Version, _trip.Now, _options.PagePatience, cancellation).ConfigureAwait(false);
        if (seen.Answer is not { } basis)
        {
            return new Seen<WhatIfAnswers>(null, seen.At, 0, true);
        }

        EnergyOutlook changed = basis.Answer;
        if (change.ChangesAnything)
        {
            await _one.WaitAsync(cancellation).ConfigureAwait(false);
            try
            {
                changed = EnergyForecaster.Answer(change.Change(basis.Question, basis.Question.Now.WithOffset(declared.ZoneOffset).Date, Paths));
            }
            finally
            {
                _one.Release();
            }
        }

        return new Seen<WhatIfAnswers>(new WhatIfAnswers(basis.Answer, changed), seen.At, seen.Number, seen.IsOlder);
    }

    /// <inheritdoc/>
    public async ValueTask DisposeAsync()
    {
        await _renewal.DisposeAsync().ConfigureAwait(false);
        _one.Dispose();
        _asItIs.Dispose();
    }

    private Task RenewAsync(CancellationToken cancellation)
    {
        Instant now = _trip.Now;
        MergedSnapshot merged = _trip.Merged;
        return _asItIs.GetAsync(merged.Version, now, () => BasisAsync(merged.State, now, cancellation), cancellation);
    }

    private async Task<Basis> BasisAsync(TripState state, Instant now, CancellationToken cancellation)
    {
        var question = new EnergyQuestion(now, [.. state.Kit], await _history.ReadAsync(state, cancellation).ConfigureAwait(false), [], _options.OutlookSeed, Paths);
        return new Basis(question, EnergyForecaster.Answer(question));
    }

    private sealed record Basis(EnergyQuestion Question, EnergyOutlook Answer);
}
