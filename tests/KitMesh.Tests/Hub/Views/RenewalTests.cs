using KitMesh.Hub.Views;
using Microsoft.Extensions.Time.Testing;
using NodaTime;

namespace KitMesh.Tests.Hub.Views;

/// <summary>A page gets the last answer at once, one computation runs at a time, and it rests in between.</summary>
public sealed class RenewalTests : IAsyncDisposable
{
    private static readonly Instant Now = Instant.FromUtc(2027, 2, 14, 18, 0);
    private static readonly TimeSpan Ever = TimeSpan.FromMinutes(5);

    private readonly FakeTimeProvider _machine = new();
    private readonly Cached<string> _kept = new(Duration.FromMinutes(10));
    private readonly Renewal<string> _renewal;
    private TaskCompletionSource _gate = new(TaskCreationOptions.RunContinuationsAsynchronously);
    private readonly SemaphoreSlim _begun = new(0);
    private long _version = 1;
    private int _computed;

    public RenewalTests() => _renewal = new Renewal<string>(_kept, ComputeAsync, _machine);

    private static CancellationToken Cancel => TestContext.Current.CancellationToken;

    [Fact]
    public async Task SeeAsync_WhileTheNextIsComputed_ShowsTheLastWithItsTime()
    {
        await MakeFirstAsync();
        _version = 2;

        Seen<string> seen = await _renewal.SeeAsync(2, Now + Duration.FromMinutes(3), TimeSpan.Zero, Cancel);

        Assert.Equal(("answer 1", Now, true), (seen.Answer, seen.At, seen.IsOlder));
        Task next = _kept.WhenNextAsync(Cancel);
        _gate.SetResult();
        await next;
        seen = await _renewal.SeeAsync(2, Now, TimeSpan.Zero, Cancel);
        Assert.Equal(("answer 2", 2L, false), (seen.Answer, seen.Number, seen.IsOlder));
    }

    [Fact]
    public async Task SeeAsync_OfManyReadersAtOnce_ComputesOnce()
    {
        await MakeFirstAsync();
        _version = 2;

        Seen<string>[] seen = await Task.WhenAll(Enumerable.Range(0, 200).Select(_ => _renewal.SeeAsync(2, Now, TimeSpan.Zero, Cancel)));
        await _begun.WaitAsync(Cancel);

        Assert.All(seen, one => Assert.Equal("answer 1", one.Answer));
        Assert.Equal(2, Volatile.Read(ref _computed));
    }

    [Fact]
    public async Task SeeAsync_OfTheFirst_WaitsNoLongerThanThePatience()
    {
        Task<Seen<string>> seeing = _renewal.SeeAsync(1, Now, TimeSpan.FromMilliseconds(300), Cancel);
        await _begun.WaitAsync(Cancel);
        Assert.False(seeing.IsCompleted);

        _machine.Advance(TimeSpan.FromMilliseconds(300));

        Seen<string> seen = await seeing;
        Assert.Equal((null, 0L, true), (seen.Answer, seen.Number, seen.IsOlder));
    }

    [Fact]
    public async Task SeeAsync_OfAnAnswerPastAnHour_DoesNotShowIt()
    {
        await MakeFirstAsync();

        Seen<string> edge = await _renewal.SeeAsync(2, Now + Renewal<string>.Oldest, TimeSpan.Zero, Cancel);
        Seen<string> past = await _renewal.SeeAsync(2, Now + Renewal<string>.Oldest + Duration.FromSeconds(1), TimeSpan.Zero, Cancel);
        Seen<string> before = await _renewal.SeeAsync(2, Now - Duration.FromSeconds(1), TimeSpan.Zero, Cancel);

        Assert.Equal("answer 1", edge.Answer);
        Assert.Null(past.Answer);
        Assert.Null(before.Answer); // The world's clock was set back: nobody knows how old it is.
    }

    [Fact]
    public async Task SeeAsync_AfterAComputation_RestsFourTimesAsLong()
    {
        Task<Seen<string>> first = _renewal.SeeAsync(1, Now, Ever, Cancel);
        await _begun.WaitAsync(Cancel);
        _machine.Advance(TimeSpan.FromSeconds(3)); // So long it takes.
        Release();
        await first;
        _version = 2;

        Seen<string> seen = await _renewal.SeeAsync(2, Now, Ever, Cancel); // No waiting through a rest: the last is shown.
        Assert.Equal(("answer 1", true), (seen.Answer, seen.IsOlder));
        _machine.Advance(TimeSpan.FromSeconds(11));
        Assert.Equal(1, Volatile.Read(ref _computed));
        Task next = _kept.WhenNextAsync(Cancel);
        _gate.SetResult();
        for (int i = 0; i < 100 && !next.IsCompleted; i++)
        {
            _machine.Advance(TimeSpan.FromSeconds(1)); // The rest may be asked for a moment after the reader was answered.
            await Task.WhenAny(next, _begun.WaitAsync(TimeSpan.FromMilliseconds(50), Cancel));
        }

        await next;
        Assert.Equal(2, Volatile.Read(ref _computed));
    }

    [Fact]
    public async Task SeeAsync_WhenTheLastIsTooOldToBeShown_EndsTheRest()
    {
        Task<Seen<string>> first = _renewal.SeeAsync(1, Now, Ever, Cancel);
        await _begun.WaitAsync(Cancel);
        _machine.Advance(TimeSpan.FromSeconds(10));
        Release();
        await first;
        _version = 2;
        await _renewal.SeeAsync(2, Now, TimeSpan.Zero, Cancel); // Now it rests, for 40 s that nobody lets pass.
        _gate.SetResult();

        Seen<string> seen = await _renewal.SeeAsync(2, Now + Renewal<string>.Oldest + Duration.FromSeconds(1), Ever, Cancel);

        Assert.Equal(2, Volatile.Read(ref _computed));
        Assert.Null(seen.Answer); // The computation here is for the time at which it began.
    }

    [Fact]
    public async Task SeeAsync_OfAReaderWhoLeaves_LeavesTheComputationToTheOthers()
    {
        using var leaves = new CancellationTokenSource();
        Task<Seen<string>> gone = _renewal.SeeAsync(1, Now, Ever, leaves.Token);
        Task<Seen<string>> stays = _renewal.SeeAsync(1, Now, Ever, Cancel);
        await _begun.WaitAsync(Cancel);
        await leaves.CancelAsync();
        await Assert.ThrowsAnyAsync<OperationCanceledException>(() => gone);

        Release();

        Assert.Equal("answer 1", (await stays).Answer);
    }

    [Fact]
    public async Task SeeAsync_OfAComputationThatFails_ThrowsAndTheNextTriesAgain()
    {
        _gate.SetException(new InvalidOperationException("as injected"));
        await Assert.ThrowsAsync<InvalidOperationException>(() => _renewal.SeeAsync(1, Now, Ever, Cancel));
        _gate = new TaskCompletionSource(TaskCreationOptions.RunContinuationsAsynchronously);
        _gate.SetResult();

        Assert.Equal("answer 2", (await _renewal.SeeAsync(1, Now, Ever, Cancel)).Answer);
    }

    public async ValueTask DisposeAsync()
    {
        _gate.TrySetResult();
        await _renewal.DisposeAsync();
        _kept.Dispose();
        _begun.Dispose();
    }

    private async Task MakeFirstAsync()
    {
        Task<Seen<string>> first = _renewal.SeeAsync(1, Now, Ever, Cancel);
        await _begun.WaitAsync(Cancel);
        Release();
        Assert.Equal("answer 1", (await first).Answer);
    }

    /// <summary>Lets what is being computed end, and holds the next.</summary>
    private void Release()
    {
        TaskCompletionSource ends = _gate;
        _gate = new TaskCompletionSource(TaskCreationOptions.RunContinuationsAsynchronously);
        ends.SetResult();
    }

    private Task ComputeAsync(CancellationToken cancellation) => _kept.GetAsync(
        _version,
        Now,
        async () =>
        {
            int number = Interlocked.Increment(ref _computed);
            Task gate = _gate.Task;
            _begun.Release();
            await gate;
            return $"answer {number}";
        },
        cancellation);
}
