using CsCheck;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Time;
using KitMesh.TestKit.Reports;
using NodaTime;

namespace KitMesh.Tests.ClockTime;

public sealed class RetimingTests
{
    private static readonly Instant Truth = Instant.FromUtc(2027, 2, 3, 18, 0);
    private static readonly NodeId Hub = NodeId.Parse("base-camp");
    private static readonly NodeId Agent = NodeId.Parse("power-1");
    private static readonly NodeId Phone = NodeId.Parse("phone-1");

    [Theory]
    [InlineData(1970)]
    [InlineData(1980)]
    [InlineData(2000)]
    [InlineData(2099)]
    public void Of_DeadClock_TakesTheObserversTime(int year)
    {
        Instant wrong = Instant.FromUtc(year, 1, 1, 0, 0);
        var retiming = Retiming.From([Pair(Hub, Truth, 50, ClockTrust.SatelliteFix, Agent, wrong, 0, ClockTrust.HardwareClock)]);

        RetimedInstant time = retiming.Of(Agent, At(wrong - Duration.FromHours(2), 7, -7_200));

        Assert.Equal(Truth - Duration.FromHours(2), time.Time);
        Assert.Equal(ClockTrust.SatelliteFix, time.Trust);
    }

    [Fact]
    public void Of_BootThatNobodyMet_KeepsItsWallAndIsMarked()
    {
        Instant wall = Instant.FromUtc(1970, 1, 1, 0, 5);

        Assert.Equal(new RetimedInstant(wall, ClockTrust.Unknown, Duration.MaxValue), Retiming.None.Of(Agent, At(wall, 3, 300)));
    }

    [Fact]
    public void Of_HubWithoutAClock_TakesThePhonesTimeOverTheHub()
    {
        var retiming = Retiming.From(
        [
            Pair(Hub, Instant.FromUtc(2000, 1, 1, 0, 0), 50, ClockTrust.Unknown, Agent, Instant.FromUtc(1970, 1, 1, 0, 0), 7, ClockTrust.Unknown),
            Pair(Hub, Instant.FromUtc(2000, 1, 1, 1, 0), 3_650, ClockTrust.Unknown, Phone, Truth, 9, ClockTrust.NetworkSet),
        ]);

        Assert.Equal(Truth - Duration.FromHours(1), retiming.Of(Agent, At(default, 7, 7)).Time);
        Assert.Equal(ClockTrust.NetworkSet, retiming.Of(Agent, At(default, 7, 7)).Trust);
    }

    [Fact]
    public void Of_HigherRankAppears_OverrulesTheLower()
    {
        ClockObservation byHand = Pair(Hub, Truth + Duration.FromHours(3), 50, ClockTrust.PersonSet, Agent, default, 7, ClockTrust.Unknown);
        ClockObservation bySatellite = Pair(Hub, Truth + Duration.FromHours(3), 50, ClockTrust.PersonSet, Phone, Truth, 9, ClockTrust.SatelliteFix);

        Assert.Equal(Truth + Duration.FromHours(3), Retiming.From([byHand]).Of(Agent, At(default, 7, 7)).Time);
        Assert.Equal(Truth, Retiming.From([byHand, bySatellite]).Of(Agent, At(default, 7, 7)).Time);
    }

    [Fact]
    public void Of_ClocksSetByHandDisagree_OneIsRootSoTheOrderIsRight()
    {
        // Two hand-set clocks three hours apart, tied at one moment: whichever is right, what happened first stays first.
        var retiming = Retiming.From([Pair(Hub, Truth, 50, ClockTrust.PersonSet, Agent, Truth + Duration.FromHours(3), 7, ClockTrust.PersonSet)]);

        Instant before = retiming.Of(Agent, At(Truth + Duration.FromHours(3), 7, 6)).Time;
        Instant after = retiming.Of(Hub, At(Truth, 1, 52)).Time;

        Assert.Equal(Duration.FromSeconds(3), after - before);
    }

    [Fact]
    public void Of_DriftingClock_TakesTheNearestPair()
    {
        // The agent's oscillator loses 36 s in 10 h (1,000 parts in a million, far worse than any quartz).
        ClockObservation first = Pair(Hub, Truth, 0, ClockTrust.SatelliteFix, Agent, default, 0, ClockTrust.Unknown);
        ClockObservation second = Pair(Hub, Truth + Duration.FromHours(10), 36_000, ClockTrust.SatelliteFix, Agent, default, 35_964, ClockTrust.Unknown);
        var retiming = Retiming.From([second, first]);

        Assert.Equal(Truth + Duration.FromSeconds(100), retiming.Of(Agent, At(default, 7, 100)).Time);
        Assert.Equal(Truth + Duration.FromSeconds(36_000 - 64), retiming.Of(Agent, At(default, 7, 35_900)).Time);
    }

    [Fact]
    public void Of_NearPairWithLongRoundTrip_LosesAgainstAFarPairWithAShortOne()
    {
        ClockObservation slow = Pair(Hub, Truth + Duration.FromSeconds(200), 200, ClockTrust.SatelliteFix, Agent, default, 130, ClockTrust.Unknown, Duration.FromSeconds(90));
        ClockObservation quick = Pair(Hub, Truth, 0, ClockTrust.SatelliteFix, Agent, default, 0, ClockTrust.Unknown, Duration.FromMilliseconds(5));
        var retiming = Retiming.From([slow, quick]);

        RetimedInstant time = retiming.Of(Agent, At(default, 7, 130));

        Assert.Equal(Truth + Duration.FromSeconds(130), time.Time);
        Assert.Equal(Duration.FromMilliseconds(5 + 13), time.Doubt);
    }

    [Fact]
    public void Of_AnyOrderAndDuplicates_GivesTheSameTimes() => Gen.Select(Gen.Int.Array[1, 25], Gen.Int).Sample(
        (seeds, order) =>
        {
            ClockObservation[] pairs = [.. seeds.Select(Draw)];
            ClockObservation[] shuffled = [.. pairs, .. pairs];
            new Random(order).Shuffle(shuffled);
            var one = Retiming.From(pairs);
            var other = Retiming.From(shuffled);
            foreach (int seed in seeds)
            {
                var draw = new ReportDraw(seed);
                NodeId node = draw.Node();
                DeviceTime written = draw.Clock();
                Assert.Equal(one.Of(node, written), other.Of(node, written));
            }
        },
        iter: 400);

    [Fact]
    public void Of_HonestPairsAndOneSatelliteFix_GivesTheTruthToEveryBootItReaches() => Gen.Int.Sample(
        seed =>
        {
            var random = new Random(seed);
            int boots = random.Next(2, 9);
            long[] starts = [.. Enumerable.Range(0, boots).Select(_ => random.NextInt64(0, 1_000_000_000_000))];
            Instant TrueTime(int boot, long monotonic) => Truth + Duration.FromNanoseconds(starts[boot] + monotonic);
            DeviceTime Seen(int boot, Instant at, bool right) => new(
                right ? at : NodaConstants.UnixEpoch + Duration.FromDays(boot * 5_000),
                new BootId((ulong)boot),
                (at - Truth).ToInt64Nanoseconds() - starts[boot]);

            var pairs = new List<ClockObservation>();
            for (int boot = 1; boot < boots; boot++)
            {
                int other = random.Next(boot);
                Instant at = Truth + Duration.FromNanoseconds(random.NextInt64(0, 1_000_000_000_000));
                pairs.Add(new ClockObservation(Name(other), new ClockPair(
                    Name(boot), Seen(boot, at, right: false), ClockTrust.Unknown, Seen(other, at, other == 0), other == 0 ? ClockTrust.SatelliteFix : ClockTrust.Unknown, Duration.Zero)));
            }

            var retiming = Retiming.From(pairs);
            for (int boot = 0; boot < boots; boot++)
            {
                long monotonic = random.NextInt64(0, 1_000_000_000_000);
                Assert.Equal(TrueTime(boot, monotonic), retiming.Of(Name(boot), new DeviceTime(default, new BootId((ulong)boot), monotonic)).Time);
            }
        },
        iter: 500);

    [Fact]
    public void From_HostileNumbers_NeverThrows() => Gen.Select(Gen.Long, Gen.Long, Gen.Long, Gen.Int[0, 4]).Array[1, 12].Sample(
        numbers =>
        {
            var retiming = Retiming.From(numbers.Select((n, i) => new ClockObservation(Name(i % 3), new ClockPair(
                Name((i + 1) % 4),
                new DeviceTime(UnixNanoseconds.ToInstant(n.Item1), new BootId(0), n.Item2),
                (ClockTrust)n.Item4,
                new DeviceTime(UnixNanoseconds.ToInstant(n.Item3), new BootId(0), n.Item1),
                ClockTrust.HardwareClock,
                Duration.FromNanoseconds(n.Item3)))));
            for (int node = 0; node < 4; node++)
            {
                _ = retiming.Of(Name(node), new DeviceTime(default, new BootId(0), numbers[0].Item2));
            }
        },
        iter: 2_000);

    private static NodeId Name(int number) => NodeId.Parse($"node-{number}");

    private static ClockObservation Draw(int seed)
    {
        var draw = new ReportDraw(seed);
        return new ClockObservation(draw.Node(), (ClockPair)draw.Body(ReportKind.ClockPair));
    }

    private static DeviceTime At(Instant wall, ulong boot, long seconds) => new(wall, new BootId(boot), seconds * 1_000_000_000);

    private static ClockObservation Pair(
        NodeId observer, Instant observerWall, long observerSeconds, ClockTrust observerTrust, NodeId subject, Instant subjectWall, long subjectSeconds, ClockTrust subjectTrust, Duration? doubt = null) =>
        new(observer, new ClockPair(
            subject,
            At(subjectWall, 7, subjectSeconds),
            subjectTrust,
            At(observerWall, 1, observerSeconds),
            observerTrust,
            doubt ?? Duration.FromMilliseconds(5)));
}
