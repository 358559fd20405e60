using CsCheck;
using KitMesh.Domain.Exchange;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Protocol.Reports;
using KitMesh.Sync.Session;
using KitMesh.TestKit.Reports;
using KitMesh.TestKit.Sync;
using NodaTime;

namespace KitMesh.Tests.Sync.Session;

/// <summary>Thin links: what is urgent and new goes first, a budget holds readings back, and everything arrives in the end.</summary>
public sealed class UrgentFirstTests
{
    private static readonly OriginId Power = new(NodeId.Parse("power-1"), 5);

    [Fact]
    public void ThinLink_AlertsAmongReadings_GoFirstAndNewestFirst()
    {
        MeshNode left = Hub("ridge-hub");
        MeshNode right = Hub("base-camp");
        Fill(left, 5_000, i => i is 10 or 2_500 or 4_990);

        MeshLink link = MeshLink.Exchange(left, right);

        ReportsFrame[] frames = [.. link.Frames.OfType<ReportsFrame>().Where(frame => frame.Origin == Power)];
        Assert.Equal([4_990UL, 2_500UL, 10UL], frames.Take(3).Select(frame => frame.FirstSequence));
        Assert.All(frames.Take(3), frame => Assert.Single(frame.Reports));
        Assert.Equal(5_000UL, frames[3].FirstSequence + (ulong)frames[3].Reports.Count - 1);
        Assert.Equal(5_000, frames.Sum(frame => frame.Reports.Count));
        Assert.Equal(left.Journal.All, right.Journal.All);
    }

    [Fact]
    public void GoodLink_AlertsAmongReadings_OldestFirst()
    {
        MeshNode left = Hub("ridge-hub", thin: false);
        MeshNode right = Hub("base-camp", thin: false);
        Fill(left, 3_000, i => i == 2_500);

        MeshLink link = MeshLink.Exchange(left, right);

        Assert.Equal(1UL, link.Frames.OfType<ReportsFrame>().First(frame => frame.Origin == Power).FirstSequence);
        Assert.Equal(left.Journal.All, right.Journal.All);
    }

    [Fact]
    public void BudgetForReadingsSpent_AlertsGoAndTheLinkRests_ThenReadingsFollow()
    {
        var meter = new SwitchedMeter();
        MeshNode left = Hub("ridge-hub", meter: meter);
        MeshNode right = Hub("base-camp");
        Fill(left, 1_000, i => i % 400 == 0);
        var link = new MeshLink(left, right);

        link.Run();

        SequenceRanges held = right.Journal.Have(Power)!.Ranges;
        Assert.Equal([400UL, 800UL], held.Select(range => range.First));
        Assert.Equal(2UL, held.Numbers);
        Assert.Contains(link.Frames, frame => frame is RestFrame);

        meter.HasRoomForReadings = true;
        link.Left.Tick(left.Now);
        link.Run();

        Assert.Equal(left.Journal.All, right.Journal.All);
    }

    [Fact]
    public void WholeBudgetSpent_NothingGoes()
    {
        MeshNode left = Hub("ridge-hub", meter: new SwitchedMeter { HasRoom = false });
        MeshNode right = Hub("base-camp");
        Fill(left, 100, i => i == 50);

        var link = new MeshLink(left, right);
        link.Run();

        Assert.Null(right.Journal.Have(Power));
        Assert.False(link.Left.IsClosed);
    }

    [Fact]
    public void EverySecondReportUrgent_PeerNeverGetsManyRanges()
    {
        MeshNode left = Hub("ridge-hub");
        MeshNode right = Hub("base-camp");
        Fill(left, 4_000, i => i % 2 == 0);
        var link = new MeshLink(left, right);
        int most = 0;
        while (link.Step())
        {
            most = Math.Max(most, right.Journal.Have(Power)?.Ranges.Count ?? 0);
        }

        Assert.InRange(most, 200, UrgentScan.MostFragments + 130);
        Assert.Equal(left.Journal.All, right.Journal.All);
    }

    [Fact]
    public void GapsThatTheLinkFills_AreNotComparedBehind()
    {
        MeshNode left = Hub("ridge-hub");
        MeshNode right = Hub("base-camp");
        Fill(left, 20_000, i => i % 1_000 == 0);
        MeshLink.Exchange(left, right, mostFrames: 60);
        Assert.True(right.Journal.Have(Power)!.Ranges.Count > 5);

        MeshLink link = MeshLink.Exchange(left, right);

        Assert.DoesNotContain(link.Frames, frame => frame is CompareFrame);
        Assert.Equal(left.Journal.All, right.Journal.All);
    }

    [Fact]
    public void AnyKindsAnyCuts_ThinOnOneSideOrBoth_BothEndUpEqual() => Gen.Select(Gen.Int, Gen.Bool, Gen.Bool, Gen.Int[1, 900]).Sample(
        (seed, thinLeft, thinRight, length) =>
        {
            var random = new Random(seed);
            MeshNode left = Hub("hub-a", thinLeft);
            MeshNode right = Hub("hub-b", thinRight);
            var draw = new ReportDraw(seed);
            for (int i = 0; i < length; i++)
            {
                (random.Next(3) == 0 ? right : left).Write(draw.Body());
            }

            for (int i = 0; i < 5; i++)
            {
                MeshLink.Exchange(left, right, mostFrames: random.Next(60));
            }

            MeshLink.Exchange(left, right);
            Assert.Equal(left.Journal.All, right.Journal.All);
            Assert.Equal(0, left.Journal.Duplicates + right.Journal.Duplicates);
        },
        iter: 80);

    private static void Fill(MeshNode hub, int count, Func<int, bool> isAlert)
    {
        var writer = new MeshNode(Power.Node.Value, NodeRole.Agent, hub.Time);
        for (int i = 1; i <= count; i++)
        {
            ReportBody body = isAlert(i)
                ? new AlertChanged("cold", KitId.Parse("ridge bank"), true, "The pack is cold.")
                : new TemperatureReading(KitId.Parse("ridge box"), "probe", new Celsius(i % 30));
            byte[] bytes = ReportCodec.Encode(default, writer.Clock, body);
            hub.Journal.Append([new RawReport(new ReportKey(Power, (ulong)i), bytes)]);
        }
    }

    private static MeshNode Hub(string name, bool thin = true, ILinkMeter? meter = null) => new(name, NodeRole.Hub)
    {
        Configure = (_, options) => thin ? options with { FrameReports = 100, TermsOf = _ => new LinkTerms(ReportUrgency.IsUrgent, meter) } : options,
    };

    private sealed class SwitchedMeter : ILinkMeter
    {
        public bool HasRoomForReadings { get; set; }

        public bool HasRoom { get; set; } = true;
    }
}
