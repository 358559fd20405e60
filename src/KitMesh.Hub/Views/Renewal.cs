using NodaTime;

namespace KitMesh.Hub.Views;

// Problem: an outlook takes a good part of a second on a fast machine and seconds on a small board, and a page has to be read
// within one. Traps: where reports come all the time every answer is outdated before it is done, and computing on and on would
// take a whole core; a reader who goes away must not take the answer from the others; an answer of last night must not be read
// as one of now.
// Method: one computation at a time, in the background, begun only when somebody asks; after it a rest four times as long as
// it took, so that pages never cost more than a fifth of a core. There is no rest while nothing can be shown. Who asks gets the newest answer that is at most an hour old,
// with its time, after a short wait for a newer one. Own choice of figures.

/// <summary>Computes an answer in the background and has the last one ready.</summary>
/// <typeparam name="T">The answer.</typeparam>
/// <param name="kept">Where answers are kept.</param>
/// <param name="compute">Computes one for what is known when it begins.</param>
/// <param name="machine">Machine time.</param>
internal sealed class Renewal<T>(Cached<T> kept, Func<CancellationToken, Task> compute, TimeProvider machine) : IAsyncDisposable
    where T : class
{
    /// <summary>How old an answer may be, in world time, to be shown while a newer one is computed.</summary>
    public static readonly Duration Oldest = Duration.FromHours(1);

    /// <summary>A rest is so many times as long as the computation before it.</summary>
    private const int Rest = 4;

    private static readonly TimeSpan LongestRest = TimeSpan.FromMinutes(1);
    private static readonly TimeSpan LongestGoodbye = TimeSpan.FromSeconds(10);
    private readonly Lock _gate = new();
    private readonly CancellationTokenSource _stop = new();
    private Task _running = Task.CompletedTask;
    private TaskCompletionSource _wake = new();
    private long _began;
    private TimeSpan _rest;
    private bool _isResting;

    /// <summary>What can be shown now.</summary>
    /// <param name="version">Number of the merged state now.</param>
    /// <param name="now">World time now.</param>
    /// <param name="patience">How long to wait for an answer that fits, in machine time.</param>
    /// <param name="cancellation">Gives up waiting; the computation goes on for others.</param>
    public async Task<Seen<T>> SeeAsync(long version, Instant now, TimeSpan patience, CancellationToken cancellation)
    {
        if (kept.Fitting(version, now) is { } fitting)
        {
            return Show(fitting, false);
        }

        Task coming = Ask(mayRest: Usable(now) is not null);
        if (!Volatile.Read(ref _isResting) || Usable(now) is null)
        {
            try
            {
                await coming.WaitAsync(patience, machine, cancellation).ConfigureAwait(false);
            }
            catch (TimeoutException)
            {
                // The reader gets the last one; the new one comes by itself.
            }
        }

        return Usable(now) is { } usable ? Show(usable, kept.Fitting(version, now) is null) : new Seen<T>(null, now, 0, true);
    }

    /// <inheritdoc/>
    public async ValueTask DisposeAsync()
    {
        await _stop.CancelAsync().ConfigureAwait(false);
        await _running.WaitAsync(LongestGoodbye, machine).ConfigureAwait(ConfigureAwaitOptions.SuppressThrowing);
        _stop.Dispose();
    }

    private static Seen<T> Show(Kept<T> answer, bool isOlder) => new(answer.Answer, answer.At, answer.Number, isOlder);

    private Kept<T>? Usable(Instant now) => kept.Newest is { } newest && now >= newest.At && now - newest.At <= Oldest ? newest : null;

    private Task Ask(bool mayRest)
    {
        lock (_gate)
        {
            if (_running.IsCompleted)
            {
                TimeSpan left = mayRest ? _rest - machine.GetElapsedTime(_began) : TimeSpan.Zero;
                Volatile.Write(ref _isResting, left > TimeSpan.Zero);
                Task wake = (_wake = new TaskCompletionSource(TaskCreationOptions.RunContinuationsAsynchronously)).Task;
                _running = Task.Run(() => RunAsync(left, wake), _stop.Token);
            }
            else if (!mayRest)
            {
                _wake.TrySetResult();
            }

            return _running;
        }
    }

    private async Task RunAsync(TimeSpan rest, Task wake)
    {
        if (rest > TimeSpan.Zero)
        {
            using var either = CancellationTokenSource.CreateLinkedTokenSource(_stop.Token);
            await Task.WhenAny(Task.Delay(rest, machine, either.Token), wake).ConfigureAwait(false);
            await either.CancelAsync().ConfigureAwait(false);
            _stop.Token.ThrowIfCancellationRequested();
            Volatile.Write(ref _isResting, false);
        }

        long began = machine.GetTimestamp();
        try
        {
            await compute(_stop.Token).ConfigureAwait(false);
        }
        finally
        {
            TimeSpan took = machine.GetElapsedTime(began);
            _began = began;
            _rest = took + TimeSpan.FromTicks(Math.Min(took.Ticks * Rest, LongestRest.Ticks));
        }
    }
}
