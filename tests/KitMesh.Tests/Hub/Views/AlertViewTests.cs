using Grpc.Net.Client;
using KitMesh.Domain;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Protocol.Exchange;
using KitMesh.Protocol.Reports;
using KitMesh.TestKit.Hub;
using KitMesh.TestKit.Storage;
using NodaTime;
using V1 = KitMesh.Protocol.V1;

namespace KitMesh.Tests.Hub.Views;

/// <summary>What a whole hub puts together for its alert rules, and what of it survives a restart.</summary>
public sealed class AlertViewTests : IDisposable
{
    /// <summary>Twenty in the evening of the trip's first day, by the crew's clock.</summary>
    private static readonly Instant Now = Instant.FromUtc(2027, 2, 8, 14, 0);

    private readonly DirectoryInfo _root = Directory.CreateTempSubdirectory("kitmesh-alert-view-");
    private readonly ReportMaker _maker = new("base-power", 9);

    public void Dispose() => _root.Delete(recursive: true);

    [Fact]
    public async Task Since_AfterARestart_IsWhenItBegan()
    {
        await using (TestHub hub = await StartAsync(Now))
        {
            await PushAsync(hub, Hot());
            Assert.Equal(Now, Since(await AlertsAsync(hub), "pack-hot"));
        }

        await using (TestHub again = await StartAsync(Now + Duration.FromMinutes(20)))
        {
            Assert.Equal(Now, Since(await AlertsAsync(again), "pack-hot"));
        }

        File.Delete(Path.Combine(_root.FullName, "alerts.json"));
        await using TestHub forgetful = await StartAsync(Now + Duration.FromMinutes(25));
        Assert.Equal(Now + Duration.FromMinutes(25), Since(await AlertsAsync(forgetful), "pack-hot"));
    }

    [Fact]
    public async Task Since_OfASilentAgent_IsTheSameOnEveryHub()
    {
        await using TestHub hub = await StartAsync(Now);
        await PushAsync(hub, Hot());
        hub.World.Advance(Duration.FromHours(7));

        V1.AlertLine alert = (await AlertsAsync(hub)).Single(line => line.Rule == "agent-silent");

        Assert.Equal(Now + Duration.FromHours(6), Time(alert));
        Assert.Contains("8 Feb 20:00 (+06:00)", alert.What, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Drives_WithRoomForLessThanTwoDays_AreNearlyFullWithRoomLeft()
    {
        await using TestHub hub = await StartAsync(Now);
        await PushAsync(hub, Drive("drive red", 300), Drive("drive blue", 1_900));

        IReadOnlyList<V1.AlertLine> alerts = await AlertsWithAsync(hub, "room-runs-out");

        V1.AlertLine full = Assert.Single(alerts, line => line.Rule == "drive-nearly-full");
        Assert.Equal("drive red", full.Subject);
        Assert.Contains("room for 1.7 days", full.What, StringComparison.Ordinal);
        Assert.Single(alerts, line => line.Rule == "room-runs-out");
    }

    [Fact]
    public async Task Drives_WithRoom_AreSilent()
    {
        await using TestHub hub = await StartAsync(Now);
        await PushAsync(hub, Drive("drive red", 1_900), Drive("drive blue", 1_900));

        Assert.DoesNotContain(await AlertsAsync(hub), line => line.Rule is "drive-nearly-full" or "room-runs-out");
    }

    [Theory]
    [InlineData(0, true)]
    [InlineData(-4, false)]
    public async Task Footage_WithoutACopy_IsToldWhenItIsNight(int hours, bool told)
    {
        Instant at = Now + Duration.FromHours(hours);
        await using TestHub hub = await StartAsync(at);
        await PushAsync(
            hub,
            new CardSeen(KitId.Parse("card a1"), KitId.Parse("visit 1"), KitId.Parse("camera a"), ByteCount.FromGigabytes(512), ByteCount.FromGigabytes(1), 1),
            new ClipFound(new ClipHash(7), KitId.Parse("card a1"), KitId.Parse("visit 1"), "DCIM/1.MOV", ByteCount.FromGigabytes(1), null, at - Duration.FromHours(1), null, null));

        IEnumerable<V1.AlertLine> night = (await AlertsAsync(hub)).Where(line => line.Rule == "single-copy-at-nightfall");

        Assert.Equal(told ? ["base team"] : [], night.Select(line => line.Subject));
    }

    [Fact]
    public async Task FailedCopy_BeforeItsClipWasHashed_CountsTheCopiesElsewhere()
    {
        const string Path = "2027-02-08/camera a/card a1/DCIM/1.MOV";
        KitId card = KitId.Parse("card a1");
        await using TestHub hub = await StartAsync(Now);
        await PushAsync(
            hub,
            new CardSeen(card, KitId.Parse("visit 1"), KitId.Parse("camera a"), ByteCount.FromGigabytes(512), ByteCount.FromGigabytes(1), 1),
            new ClipFound(new ClipHash(7), card, KitId.Parse("visit 1"), "DCIM/1.MOV", ByteCount.FromGigabytes(1), null, Now, null, null),
            new CopyMade(new ClipHash(7), KitId.Parse("drive red"), Path, ByteCount.FromGigabytes(1)),
            new CopyVerified(new ClipHash(7), KitId.Parse("drive red"), Path, ByteCount.FromGigabytes(1), ReadBackLevel.Direct, false),
            new CopyFailed(null, KitId.Parse("drive blue"), Path, CopyFailure.WriteFailed, "not a directory", card));

        V1.AlertLine alert = (await AlertsAsync(hub)).Single(line => line.Rule == "copy-failed");

        Assert.Equal("drive blue", alert.Subject);
        Assert.Contains("good copies elsewhere: 1", alert.What, StringComparison.Ordinal);
        Assert.DoesNotContain("all there is", alert.What, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Alerts_OfATeam_LeaveOutOtherTeamsAndKeepWhatIsEverybodys()
    {
        await using TestHub hub = await StartAsync(Now);
        await PushAsync(hub, Hot(), Drive("drive red", 300), Drive("drive blue", 300));
        await AlertsWithAsync(hub, "room-runs-out");
        using GrpcChannel channel = GrpcChannel.ForAddress(hub.Address);
        var client = new V1.OutlookService.OutlookServiceClient(channel);

        V1.GetAlertsResponse mine = await client.GetAlertsAsync(new V1.GetAlertsRequest { Team = "Base Team" }, cancellationToken: Cancel);
        Grpc.Core.RpcException refused = await Assert.ThrowsAsync<Grpc.Core.RpcException>(async () => await client.GetAlertsAsync(new V1.GetAlertsRequest { Team = "nobody" }, cancellationToken: Cancel));

        Assert.Contains(mine.Alerts, line => line.Rule == "pack-hot");
        Assert.Contains(mine.Alerts, line => line.Rule == "room-runs-out");
        Assert.Equal("+06:00", mine.Zone);
        Assert.Equal(Grpc.Core.StatusCode.InvalidArgument, refused.StatusCode);
    }

    private static CancellationToken Cancel => TestContext.Current.CancellationToken;

    private Task<TestHub> StartAsync(Instant now) => TestHub.StartAsync(
        _root.FullName,
        options => options with { TripFile = TripFile() },
        now);

    private static string TripFile()
    {
        DirectoryInfo folder = new(AppContext.BaseDirectory);
        while (!File.Exists(Path.Combine(folder.FullName, "KitMesh.sln")))
        {
            folder = folder.Parent ?? throw new InvalidOperationException("The tests must run from inside a checkout.");
        }

        return Path.Combine(folder.FullName, "deploy", "trip.example.yaml");
    }

    private static BatteryReading Hot() => new(KitId.Parse("main bank"), new Volts(13.2), new Amperes(-2), null, null, ValueList.Create<Celsius>([new(61)]));

    private static DriveState Drive(string name, double freeGigabytes) =>
        new(KitId.Parse(name), ByteCount.FromGigabytes(2_000), ByteCount.FromGigabytes(freeGigabytes), DriveHealth.Unknown, null, null);

    private async Task PushAsync(TestHub hub, params ReportBody[] bodies)
    {
        using GrpcChannel channel = GrpcChannel.ForAddress(hub.Address);
        var request = new V1.PushRequest { Origin = OriginCodec.Write(_maker.Origin), FirstSequence = 1 };
        Instant now = hub.World.GetCurrentInstant();
        request.Encoded.AddRange(bodies.Select((body, i) => Google.Protobuf.ByteString.CopyFrom(ReportCodec.Encode(_maker.Make((ulong)i + 1, now, body).Timed.Report))));
        await new V1.MeshService.MeshServiceClient(channel).PushAsync(request, cancellationToken: Cancel);
    }

    private static async Task<IReadOnlyList<V1.AlertLine>> AlertsAsync(TestHub hub)
    {
        await hub.Application.WhenCaughtUpAsync(Cancel);
        using GrpcChannel channel = GrpcChannel.ForAddress(hub.Address);
        return (await new V1.OutlookService.OutlookServiceClient(channel).GetAlertsAsync(new V1.GetAlertsRequest(), cancellationToken: Cancel)).Alerts;
    }

    /// <summary>The alerts as soon as one of a rule is among them: the footage outlook behind some rests between two answers.</summary>
    private static async Task<IReadOnlyList<V1.AlertLine>> AlertsWithAsync(TestHub hub, string rule)
    {
        using var timer = new PeriodicTimer(TimeSpan.FromMilliseconds(100));
        for (int i = 0; i < 1_200; i++)
        {
            IReadOnlyList<V1.AlertLine> alerts = await AlertsAsync(hub);
            if (alerts.Any(line => line.Rule == rule))
            {
                return alerts;
            }

            await timer.WaitForNextTickAsync(Cancel);
            hub.World.Advance(Duration.FromMilliseconds(1));
        }

        throw new TimeoutException($"{rule} was not raised within two minutes.");
    }

    private static Instant Since(IEnumerable<V1.AlertLine> alerts, string rule) => Time(alerts.Single(line => line.Rule == rule));

    private static Instant Time(V1.AlertLine alert) => Instant.FromDateTimeUtc(alert.Since.ToDateTime());
}
