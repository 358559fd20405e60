using Grpc.Net.Client;
using KitMesh.Domain.Reports;
using KitMesh.Hub;
using KitMesh.Hub.Links;
using KitMesh.Sync.Journal;
using KitMesh.TestKit.Hub;
using KitMesh.TestKit.Storage;
using KitMesh.Tests.TripFile;
using NodaTime;
using NodaTime.Testing;
using V1 = KitMesh.Protocol.V1;

namespace KitMesh.Tests.Hub.Links;

/// <summary>Links that the trip file declares: they are dialled, and keep to their budget.</summary>
public sealed class LinkBudgetTests : IDisposable
{
    private const int Readings = 8_000;
    private const long Budget = 100_000;
    private static readonly Instant Now = Instant.FromUtc(2027, 2, 9, 12, 0);
    private readonly string _folder = Directory.CreateTempSubdirectory("kitmesh-link-").FullName;

    [Fact]
    public async Task LinkOfTripFile_SmallBudget_AlertsFirst_ReadingsOverDays_NeverMuchMoreThanTheBudget()
    {
        await using TestHub camp = await StartAsync("base-camp", trip: null);
        await using TestHub ridge = await StartAsync("ridge-hub", Trip(camp.Address, "quality: thin\n    budget: 0.1 MB/d"));
        OriginId origin = await FillAsync(ridge);
        LinkMeter meter = Meter(ridge);

        // Readings stop at three quarters; the two alerts are far behind them and have come all the same.
        await TestHub.UntilAsync(() => !meter.HasRoomForReadings && Holds(camp, origin, 100) && Holds(camp, origin, 4_000));
        ulong firstDay = camp.Held(origin);
        V1.LinkStatus told = Assert.Single((await StatusAsync(ridge)).Links);
        Assert.Equal(("base-camp", true, true, Budget, "2027-02-09"), (told.Peer, told.DialledHere, told.Thin, told.BudgetBytes, told.Day));
        Assert.True(told.BytesToday >= 0.75 * Budget, $"{told.BytesToday}");
        Assert.Equal(told.BytesToday < Budget ? "urgent" : "nothing", told.OpenFor);
        Assert.Empty((await StatusAsync(camp)).Links);
        Assert.InRange(firstDay, 3UL, (ulong)Readings);

        int days = 1;
        for (; camp.Held(origin) < Readings + 2 && days < 30; days++)
        {
            Assert.InRange(meter.Today.Bytes, Budget / 2, Budget * 3);
            ridge.World.AdvanceHours(24);
            camp.World.AdvanceHours(24);
            await TestHub.UntilAsync(() => !meter.HasRoomForReadings || camp.Held(origin) == Readings + 2);
        }

        Assert.InRange(days, 2, 29);
        Assert.Equal(Readings + 2UL, camp.Held(origin));
    }

    [Fact]
    public async Task Hub_RestartedOnTheSameDay_GoesOnCounting()
    {
        await using TestHub camp = await StartAsync("base-camp", trip: null);
        string trip = Trip(camp.Address, "budget: 0.1 MB/d");
        string data = Directory.CreateDirectory(Path.Combine(_folder, "ridge")).FullName;
        long before;
        await using (TestHub ridge = await StartAsync("ridge-hub", trip, data))
        {
            await FillAsync(ridge);
            await TestHub.UntilAsync(() => !Meter(ridge).HasRoomForReadings);
            before = Meter(ridge).Today.Bytes;
        }

        await using TestHub again = await StartAsync("ridge-hub", trip, data);

        Assert.True(Meter(again).Today.Bytes >= before);
        Assert.False(Meter(again).HasRoomForReadings);
    }

    [Fact]
    public async Task LinkToAnHttpsHub_HubWithoutACertificate_IsRefusedInWords()
    {
        var refused = await Assert.ThrowsAsync<HubStartException>(() => StartAsync("ridge-hub", Trip(new Uri("https://192.168.4.1:7433"), "quality: thin")));

        Assert.Contains("asks who calls", refused.Message, StringComparison.Ordinal);
    }

    [Fact]
    public void Meter_NewDay_BeginsAnew_AtTheCrewsMidnight()
    {
        var world = new FakeClock(Instant.FromUtc(2027, 2, 9, 17, 59));
        var meter = new LinkMeter(NodeId.Parse("base-camp"), 1_000, world) { Zone = Offset.FromHours(6) };
        int spent = 0;
        meter.Spent += () => spent++;

        meter.Count(749);
        Assert.True(meter.HasRoomForReadings);
        meter.Count(1);
        Assert.True(meter is { HasRoomForReadings: false, HasRoom: true });
        meter.Count(250);
        meter.Count(5);
        Assert.False(meter.HasRoom);
        Assert.Equal(1, spent);

        world.AdvanceMinutes(1);
        Assert.True(meter is { HasRoomForReadings: true, Today.Bytes: 0 });
    }

    public void Dispose() => Directory.Delete(_folder, recursive: true);

    private static async Task<V1.GetStatusResponse> StatusAsync(TestHub hub)
    {
        using GrpcChannel channel = GrpcChannel.ForAddress(hub.Address);
        return await new V1.OutlookService.OutlookServiceClient(channel).GetStatusAsync(new V1.GetStatusRequest(), cancellationToken: Cancel);
    }

    private static LinkMeter Meter(TestHub ridge) => ridge.Application.Links.MeterOf(NodeId.Parse("base-camp"))!;

    private static CancellationToken Cancel => TestContext.Current.CancellationToken;

    private string Trip(Uri camp, string terms)
    {
        string file = Path.Combine(_folder, "trip.yaml");
        string address = camp.GetLeftPart(UriPartial.Authority);
        File.WriteAllText(file, $"{TripText.Least.TrimEnd()}\nlinks:\n  - from: ridge-hub\n    to: base-camp\n    address: {address}\n    {terms}\n");
        return file;
    }

    private static Task<TestHub> StartAsync(string node, string? trip, string? data = null) =>
        TestHub.StartAsync(data, options => options with { Node = NodeId.Parse(node), TripFile = trip }, Now);

    private static async Task<OriginId> FillAsync(TestHub hub)
    {
        var maker = new ReportMaker("ridge-agent", 9);
        var random = new Random(1);
        RawReport[] reports =
        [
            .. Enumerable.Range(1, Readings + 2).Select(i => (i is 100 or 4_000
                ? maker.Make((ulong)i, Now + Duration.FromSeconds(i), new AlertChanged("cold-charge", KitId.Parse("ridge bank"), true, "The pack is cold and charges."))
                : maker.Temperature((ulong)i, Now + Duration.FromSeconds(i), random.NextDouble() * 30)).Raw),
        ];
        foreach (RawReport[] part in reports.Chunk(1_000))
        {
            Assert.IsType<AppendResult.Durable>(await hub.Application.Core.Intake.AppendAsync(part, Cancel));
        }

        return maker.Origin;
    }

    private static bool Holds(TestHub hub, OriginId origin, ulong sequence) => hub.Application.Core.Journal.Have(origin)?.Ranges.Contains(sequence) ?? false;
}
