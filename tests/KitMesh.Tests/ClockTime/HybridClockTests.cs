using KitMesh.Domain.Time;
using NodaTime;

namespace KitMesh.Tests.ClockTime;

/// <summary>
/// Source of the bounds: Kulkarni, Demirbas, Madappa, Avva, Leone, "Logical Physical Clocks", OPODIS 2014, LNCS 8878,
/// pp. 17 to 32, as its authors state them in their TLA+ model (hlc.tla): l ≥ pt, l &lt; pt + ε, c &lt; N(ε + 1), with one
/// tick of a node's clock between two of its events and all clocks within ε.
/// </summary>
public sealed class HybridClockTests
{
    private static readonly Instant Noon = Instant.FromUtc(2027, 2, 1, 12, 0);

    [Theory]
    [InlineData(2, 3)]
    [InlineData(4, 5)]
    [InlineData(8, 10)]
    public void Clocks_WithinEpsilon_KeepThePapersBounds(int nodes, int epsilon)
    {
        for (int seed = 1; seed <= 5; seed++)
        {
            (long ahead, int counter) = Simulate(nodes, epsilon, seed, naive: false);
            Assert.True(ahead < epsilon, $"seed {seed}: l - pt reached {ahead}, the bound is {epsilon}");
            Assert.True(counter < nodes * (epsilon + 1), $"seed {seed}: c reached {counter}");
        }
    }

    [Fact]
    public void NaiveClocks_BreakTheBounds_SoTheCheckCanFail()
    {
        // hlcnaive of the same authors: l grows by one with every event and leaves the physical clock behind for good.
        (long ahead, _) = Simulate(4, 5, seed: 1, naive: true);

        Assert.True(ahead >= 5);
    }

    [Fact]
    public void Next_SameMillisecond_CountsUp()
    {
        HybridClock first = default(HybridClock).Next(Noon);
        HybridClock second = first.Next(Noon);

        Assert.Equal(HybridTime.From(Noon.ToUnixTimeMilliseconds(), 0), first.Last);
        Assert.Equal(HybridTime.From(Noon.ToUnixTimeMilliseconds(), 1), second.Last);
    }

    [Fact]
    public void Next_CounterFull_GoesIntoTheNextMillisecond()
    {
        var clock = new HybridClock(HybridTime.From(Noon.ToUnixTimeMilliseconds(), ushort.MaxValue));

        Assert.Equal(HybridTime.From(Noon.ToUnixTimeMilliseconds() + 1, 0), clock.Next(Noon).Last);
    }

    [Fact]
    public void Receive_WithinTheDriftLimit_IsTakenIn()
    {
        var remote = HybridTime.From((Noon + HybridClock.DriftLimit).ToUnixTimeMilliseconds(), 3);

        HybridClock clock = default(HybridClock).Receive(remote, Noon, out bool taken);

        Assert.True(taken);
        Assert.True(clock.Last.CompareTo(remote) > 0);
    }

    [Theory]
    [InlineData(1)]
    [InlineData(2_272_000_000_000)]
    public void Receive_PastTheDriftLimit_IsLeftOut(long millisecondsPast)
    {
        var remote = HybridTime.From((Noon + HybridClock.DriftLimit).ToUnixTimeMilliseconds() + millisecondsPast, 0);

        HybridClock clock = default(HybridClock).Receive(remote, Noon, out bool taken);

        Assert.False(taken);
        Assert.Equal(Noon, clock.Last.Instant);
    }

    [Fact]
    public void Receive_FromADeadClock_ChangesNothingButTheCounter()
    {
        HybridClock clock = default(HybridClock).Next(Noon).Receive(HybridTime.From(0, 9), Noon, out bool taken);

        Assert.True(taken);
        Assert.Equal(HybridTime.From(Noon.ToUnixTimeMilliseconds(), 1), clock.Last);
    }

    [Fact]
    public void Next_OwnClockWasIn2099AndIsSetBack_StartsAgainFromTheWall()
    {
        HybridClock wrong = default(HybridClock).Next(Instant.FromUtc(2099, 1, 1, 0, 0));

        Assert.Equal(Noon, wrong.Next(Noon).Last.Instant);
    }

    [Fact]
    public void Next_BeforeTheEpoch_IsHeldAtZero() =>
        Assert.Equal(HybridTime.From(0, 1), default(HybridClock).Next(Instant.FromUtc(1969, 1, 1, 0, 0)).Last);

    /// <summary>Random events of nodes whose clocks tick once an event and never part by more than epsilon.</summary>
    private static (long MostAhead, int MostCounter) Simulate(int nodes, int epsilon, int seed, bool naive)
    {
        var random = new Random(seed);
        long[] physical = new long[nodes];
        var clocks = new HybridClock[nodes];
        var mail = new HybridTime[nodes];
        long ahead = 0;
        int counter = 0;
        for (int step = 0; step < 100_000; step++)
        {
            int node = random.Next(nodes);
            if (physical[node] + 1 > physical.Min() + epsilon)
            {
                continue;
            }

            var wall = Instant.FromUnixTimeMilliseconds(++physical[node]);
            int from = random.Next(nodes);
            bool receives = from != node && random.Next(2) == 0;
            clocks[node] = naive
                ? new HybridClock(HybridTime.From(Math.Max(physical[node], Math.Max(clocks[node].Last.Milliseconds, receives ? mail[from].Milliseconds : 0) + 1), 0))
                : receives ? clocks[node].Receive(mail[from], wall, out _) : clocks[node].Next(wall);
            mail[node] = clocks[node].Last;
            Assert.True(clocks[node].Last.Milliseconds >= physical[node]);
            ahead = Math.Max(ahead, clocks[node].Last.Milliseconds - physical[node]);
            counter = Math.Max(counter, clocks[node].Last.Counter);
        }

        return (ahead, counter);
    }
}
