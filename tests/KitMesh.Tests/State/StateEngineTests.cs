using CsCheck;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Domain.State;
using KitMesh.Domain.Time;
using KitMesh.Protocol.Reports;
using KitMesh.Storage;
using KitMesh.Sync.Merge;
using KitMesh.TestKit.Reports;
using KitMesh.TestKit.Storage;
using NodaTime;

namespace KitMesh.Tests.State;

public sealed class StateEngineTests
{
    private static readonly Instant Morning = Instant.FromUtc(2027, 2, 3, 6, 0);
    private static readonly OriginId Agent = new(NodeId.Parse("power-1"), 1);
    private static readonly OriginId Hub = new(NodeId.Parse("base-camp"), 1);

    [Fact]
    public void AnyOrderDuplicationAndGrouping_GivesTheSameStateByteForByte() => Gen.Select(Gen.Int.Array[0, 60], Gen.Int).Sample(
        (seeds, order) =>
        {
            ContentReport[] reports = [.. seeds.Select(Draw)];
            byte[] scratch = StateFingerprint.Encode(TripState.Fold(reports));

            ContentReport[] shuffled = [.. reports, .. reports.Where((_, i) => i % 3 == 0)];
            var random = new Random(order);
            random.Shuffle(shuffled);
            var held = new List<ContentReport>();
            var engine = new StateEngine(() => held);
            foreach (ContentReport report in shuffled)
            {
                held.Add(report);
                engine.Add(report.Report, report.Content);
                if (random.Next(4) == 0)
                {
                    _ = engine.State;
                }
            }

            Assert.Equal(scratch, StateFingerprint.Encode(engine.State));
        },
        iter: 400);

    [Fact]
    public void OldReportsLookedUp_DuplicatesAndForksOfThem_GiveTheSameState_AndAreAskedForOnlyThen()
    {
        var maker = new ReportMaker("power-1");
        List<ContentReport> reports = [.. Enumerable.Range(1, 40_000).Select(i => Content(maker.Temperature((ulong)i, Morning + Duration.FromSeconds(i), i % 30)))];
        ContentReport[] again = [reports[0], reports[20_000], reports[39_999]];
        ContentReport[] forks = [.. new ulong[] { 1, 20_000, 40_000 }.Select(sequence => Content(maker.Temperature(sequence, Morning, -40)))];
        int asked = 0;
        UInt128? First(ReportKey key)
        {
            asked++;
            return reports[(int)key.Sequence - 1].Content.High;
        }

        var engine = new StateEngine(() => throw new InvalidOperationException("No clock pair came."), First);
        reports.ForEach(report => Assert.True(engine.Add(report.Report, report.Content)));
        Assert.Equal(0, asked);
        Assert.All(again, report => Assert.False(engine.Add(report.Report, report.Content)));
        Assert.All(forks, report => Assert.True(engine.Add(report.Report, report.Content)));
        Assert.All(forks, report => Assert.False(engine.Add(report.Report, report.Content)));

        Assert.InRange(asked, 4, 6);
        Assert.Equal(3, engine.State.Forks.Count);
        Assert.Equal(StateFingerprint.Encode(TripState.Fold([.. reports, .. again, .. forks])), StateFingerprint.Encode(engine.State));
    }

    [Fact]
    public void OldReportDroppedSince_ComesAgain_CountsAsKnown()
    {
        var maker = new ReportMaker("power-1");
        List<ContentReport> reports = [.. Enumerable.Range(1, 20_000).Select(i => Content(maker.Temperature((ulong)i, Morning + Duration.FromSeconds(i), i % 30)))];
        var engine = new StateEngine(() => reports, _ => null);
        reports.ForEach(report => engine.Add(report.Report, report.Content));

        Assert.False(engine.Add(reports[0].Report, reports[0].Content));
        Assert.Empty(engine.State.Forks);
    }

    private static ContentReport Content(IncomingReport made) => new(made.Timed.Report, Sha256Hash.Of(made.Raw.Bytes.Span));

    [Fact]
    public void Union_IsCommutativeAssociativeAndIdempotent_AndSoIsTheState() =>
        Gen.Select(Gen.Int.Array[0, 20], Gen.Int.Array[0, 20], Gen.Int.Array[0, 20]).Sample(
            (a, b, c) =>
            {
                ReportSet x = Set(a);
                ReportSet y = Set(b);
                ReportSet z = Set(c);

                Assert.Equal(x.Union(y), y.Union(x));
                Assert.Equal(x.Union(y).Union(z), x.Union(y.Union(z)));
                Assert.Equal(x, x.Union(x));
                Assert.Equal(x.Union(y).Fingerprint(), y.Union(x).Fingerprint());
                Assert.True(x.Union(y).Holds(x));
                Assert.Equal(State(x.Union(y).Union(z)), State(z.Union(y.Union(x))));
            },
            iter: 200);

    [Fact]
    public void LatestReading_AgreesWithASortedListOfWhatIsBelieved() => Gen.Int.Array[1, 40].Sample(
        seeds =>
        {
            ContentReport[] reports = [.. seeds.Select(seed => Draw(seed, ReportKind.BatteryReading)).DistinctBy(entry => (entry.Report.Key, entry.Content))];

            TripState state = TripState.Fold(reports);

            foreach (IGrouping<KitId, ContentReport> pack in reports.GroupBy(entry => ((BatteryReading)entry.Report.Body).Pack))
            {
                // Without clock pairs the wall clock stands; what cannot be right comes last.
                ContentReport last = pack
                    .OrderBy(entry => Retiming.IsPlausible(entry.Report.Written.Wall))
                    .ThenBy(entry => entry.Report.Written.Wall)
                    .ThenBy(entry => entry.Report.Key)
                    .ThenBy(entry => entry.Content)
                    .Last();
                Assert.Equal(last.Report.Body, state.Batteries[pack.Key].Body);
            }
        },
        iter: 500);

    [Fact]
    public void Thinning_OldReadingsGone_SameFingerprint() => Gen.Int.Array[1, 50].Sample(
        seeds =>
        {
            ContentReport[] reports = [.. seeds.Select(Draw).DistinctBy(entry => entry.Report.Key)];
            TripState whole = TripState.Fold(reports);
            HashSet<ReportKey> latest =
            [
                .. whole.Batteries.Values.Select(it => it.Stamp.Key),
                .. whole.Temperatures.Values.Select(it => it.Stamp.Key),
                .. whole.Panels.Values.Select(it => it.Stamp.Key),
                .. whole.Loads.Values.Select(it => it.Stamp.Key),
            ];

            TripState thin = TripState.Fold(reports.Where(entry => !TripStateBuilder.IsReading(entry.Report.Body) || latest.Contains(entry.Report.Key)));

            Assert.Equal(StateFingerprint.Of(whole), StateFingerprint.Of(thin));
        },
        iter: 300);

    [Fact]
    public void ReportDated2099_DoesNotHaveTheLastWord()
    {
        TripState state = TripState.Fold(
        [
            Battery(1, Instant.FromUtc(2099, 1, 1, 0, 0), 9.9),
            Battery(2, Morning, 12.5),
            Battery(3, Morning + Duration.FromHours(1), 12.6),
            Battery(4, NodaConstants.UnixEpoch, 1.1),
        ]);

        Assert.Equal(new Volts(12.6), state.Batteries[KitId.Parse("ridge bank")].Body.Volts);
        Assert.Equal(4, state.Counts[ReportKind.BatteryReading]);
    }

    [Fact]
    public void UncheckedClockAWeekAhead_LosesAgainstABelievedOne()
    {
        TripState state = TripState.Fold(
        [
            Battery(1, Morning + Duration.FromDays(7), 9.9, boot: 99),
            Battery(2, NodaConstants.UnixEpoch, 12.5, boot: 7, seconds: 60),
            Pair(Morning, subjectBoot: 7),
        ]);

        Stamped<BatteryReading> latest = state.Batteries[KitId.Parse("ridge bank")];
        Assert.Equal(new Volts(12.5), latest.Body.Volts);
        Assert.Equal(Morning + Duration.FromMinutes(1), latest.Time);
    }

    [Fact]
    public void ClockPairArrivesLate_EarlierReportsMoveToTheirTimes()
    {
        var held = new List<ContentReport>();
        var engine = new StateEngine(() => held);
        Add(Battery(1, NodaConstants.UnixEpoch, 12.5, boot: 7, seconds: 3_600));
        Assert.Equal(NodaConstants.UnixEpoch, engine.State.Batteries[KitId.Parse("ridge bank")].Time);
        long version = engine.RetimingVersion;

        Add(Pair(Morning, subjectBoot: 7));

        Assert.Equal(Morning + Duration.FromHours(1), engine.State.Batteries[KitId.Parse("ridge bank")].Time);
        Assert.True(engine.RetimingVersion > version);
        NodeSeen seen = engine.State.Nodes[Agent.Node];
        Assert.Equal(Morning + Duration.FromHours(1), seen.LastHeard);
        Assert.Equal(NodaConstants.UnixEpoch - seen.LastHeard, seen.ClockAhead);

        void Add(ContentReport report)
        {
            held.Add(report);
            engine.Add(report.Report, report.Content);
        }
    }

    [Fact]
    public void ClockPairThatSaysWhatIsKnown_MovesNothingAndAsksForNoReplay()
    {
        int replays = 0;
        var held = new List<ContentReport>();
        var engine = new StateEngine(() =>
        {
            replays++;
            return held;
        });
        Add(Pair(Morning, subjectBoot: 7));
        Add(Battery(1, NodaConstants.UnixEpoch, 12.5, boot: 7, seconds: 60));
        _ = engine.State;

        // Two hours on, both clocks have run on alike but for a millisecond.
        var later = (ClockPair)Pair(Morning, 7).Report.Body;
        later = later with
        {
            SubjectTime = later.SubjectTime with { MonotonicNanoseconds = 7_200_001_000_000 },
            ObserverTime = new DeviceTime(Morning + Duration.FromHours(2), new BootId(500), 7_200_000_000_000),
        };
        Add(Content(new Report(new ReportKey(Hub, 2), default, later.ObserverTime, later)));
        Add(Battery(2, NodaConstants.UnixEpoch, 12.6, boot: 7, seconds: 7_260));

        Assert.Equal(Morning + Duration.FromSeconds(7_260), engine.State.Batteries[KitId.Parse("ridge bank")].Time);
        Assert.Equal(0, replays);
        Assert.Equal(0, engine.RetimingVersion);
        Assert.Equal(StateFingerprint.Of(TripState.Fold(held)), StateFingerprint.Of(engine.State));

        void Add(ContentReport report)
        {
            held.Add(report);
            engine.Add(report.Report, report.Content);
        }
    }

    [Fact]
    public void SameKeyOtherContent_BothCountAndTheForkIsNamed()
    {
        ContentReport one = Battery(5, Morning, 12.5);
        ContentReport other = Battery(5, Morning, 12.9);

        TripState state = TripState.Fold([one, other, one]);

        Assert.Equal(2, state.Counts[ReportKind.BatteryReading]);
        Assert.Equal(one.Report.Key, Assert.Single(state.Forks).Key);
        Assert.Equal(StateFingerprint.Of(state), StateFingerprint.Of(TripState.Fold([other, one])));
    }

    [Fact]
    public void Placement_ToldAfterwards_StandsWhereItHappened()
    {
        KitId drive = KitId.Parse("drive A");
        ContentReport noon = Entry(1, Morning + Duration.FromHours(6), new KitPlaced(drive, KitId.Parse("case 1"), "keeper"));
        ContentReport told = Entry(2, Morning + Duration.FromHours(8), new KitPlaced(drive, KitId.Parse("case 2"), "keeper", Morning));

        TripState state = TripState.Fold([told, noon]);

        Assert.Equal(KitId.Parse("case 1"), state.HolderOf(drive));
        Assert.Equal(2, state.Placements[drive].Count);
    }

    [Fact]
    public void WithdrawnItem_NoLongerStands()
    {
        var card = new KitMesh.Domain.Kit.Card(KitId.Parse("card 7"), null, new ByteCount(1));
        TripState state = TripState.Fold(
        [
            Entry(1, Morning, new KitDeclared(card)),
            Entry(2, Morning + Duration.FromHours(1), new KitDeclared(card, Withdrawn: true)),
        ]);

        Assert.Empty(state.Kit);
        Assert.Single(state.Declared);
    }

    private static byte[] State(ReportSet set) =>
        StateFingerprint.Encode(TripState.Fold(set.Reports.Select(raw => new ContentReport(ReportCodec.Decode(raw), Sha256Hash.Of(raw.Bytes.Span)))));

    private static ReportSet Set(int[] seeds) => ReportSet.Of(seeds.Select(seed =>
    {
        Report report = new ReportDraw(seed).Report();
        return new RawReport(report.Key, ReportCodec.Encode(report));
    }));

    private static ContentReport Draw(int seed) => Content(new ReportDraw(seed).Report());

    private static ContentReport Draw(int seed, ReportKind kind)
    {
        var draw = new ReportDraw(seed);
        return Content(draw.Report() with { Body = draw.Body(kind) });
    }

    private static ContentReport Content(Report report) => new(report, Sha256Hash.Of(ReportCodec.Encode(report)));

    private static ContentReport Entry(ulong sequence, Instant wall, ReportBody body) =>
        Content(new Report(new ReportKey(Agent, sequence), default, new DeviceTime(wall, new BootId(1), 0), body));

    private static ContentReport Battery(ulong sequence, Instant wall, double volts, ulong boot = 1, long seconds = 0) => Content(new Report(
        new ReportKey(Agent, sequence),
        default,
        new DeviceTime(wall, new BootId(boot), seconds * 1_000_000_000),
        new BatteryReading(KitId.Parse("ridge bank"), new Volts(volts), null, null, null, [])));

    /// <summary>The hub, right by satellite, sees the agent's boot at its second 0.</summary>
    private static ContentReport Pair(Instant hubTime, ulong subjectBoot) => Content(new Report(
        new ReportKey(Hub, 1),
        default,
        new DeviceTime(hubTime, new BootId(500), 0),
        new ClockPair(
            Agent.Node,
            new DeviceTime(NodaConstants.UnixEpoch, new BootId(subjectBoot), 0),
            ClockTrust.Unknown,
            new DeviceTime(hubTime, new BootId(500), 0),
            ClockTrust.SatelliteFix,
            Duration.FromMilliseconds(3))));
}
