using System.Net;
using Grpc.Net.Client;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Protocol.Exchange;
using KitMesh.Protocol.Kit;
using KitMesh.Protocol.Reports;
using KitMesh.TestKit.Hub;
using KitMesh.TestKit.Storage;
using KitMesh.Tests.Outlook.Energy;
using NodaTime;
using V1 = KitMesh.Protocol.V1;

namespace KitMesh.Tests.Hub.Pages;

/// <summary>What a whole hub shows on Footage and Energy of reports that were pushed to it.</summary>
public sealed class FootagePageTests
{
    private static readonly Instant Now = EnergyScene.Evening;

    private static CancellationToken Cancel => TestContext.Current.CancellationToken;

    [Fact]
    public async Task Footage_OfADamagedClip_SaysWhichAndWhy()
    {
        await using TestHub hub = await TestHub.StartAsync(now: Now);
        KitId card = KitId.Parse("card 1");
        await PushAsync(
            hub,
            new ClipFound(new ClipHash(7), card, KitId.Parse("v1"), "DCIM/C1.MP4", new ByteCount(9), KitId.Parse("ridge camera"), Now - Duration.FromHours(1), Duration.FromMinutes(1), null),
            new ClipFound(new ClipHash(8), card, KitId.Parse("v1"), "DCIM/C2.MP4", new ByteCount(9), KitId.Parse("ridge camera"), Now - Duration.FromHours(1), Duration.FromMinutes(1), "ends in the middle of a box"));

        string page = await PageAsync(hub, "/footage");

        Assert.Contains("✗ 1 clip of 2 cannot be right in itself.", page, StringComparison.Ordinal);
        Assert.Contains("DCIM/C2.MP4", page, StringComparison.Ordinal);
        Assert.Contains("ends in the middle of a box", page, StringComparison.Ordinal);
        Assert.Contains("2 of 2 picture clips lack a recorder's sound", page, StringComparison.Ordinal);
        Assert.Contains("<td>ridge camera</td><td>✗ 2 of 2 fall short</td><td>○ 0 copies</td><td>0 cases</td><td>2 clips</td>", page, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Footage_OfWholeClips_SaysThatNothingIsSeen()
    {
        await using TestHub hub = await TestHub.StartAsync(now: Now);
        await PushAsync(hub, new ClipFound(new ClipHash(7), KitId.Parse("card 1"), KitId.Parse("v1"), "DCIM/C1.MP4", new ByteCount(9), null, Now - Duration.FromHours(1), Duration.FromMinutes(1), null));

        Assert.Contains("✓ Nothing wrong is seen in any of 1 clip.", await PageAsync(hub, "/footage"), StringComparison.Ordinal);
    }

    [Fact]
    public async Task Energy_OfDevicesWithReadings_TellsWhatEachTookByDay()
    {
        await using TestHub hub = await TestHub.StartAsync(now: Now);
        using GrpcChannel channel = GrpcChannel.ForAddress(hub.Address);
        var kit = new V1.DeclareKitRequest();
        kit.Items.AddRange(EnergyScene.Kit.Select(KitItemCodec.Write));
        await new V1.MeshService.MeshServiceClient(channel).DeclareKitAsync(kit, cancellationToken: Cancel);
        Load camera = EnergyScene.Kit.OfType<Load>().First(load => load.Id == KitId.Parse("ridge camera"));
        var writer = new ReportMaker("ridge-power");
        await PushAsync(hub, writer, Enumerable.Range(0, 6 * 60).Select(i => writer.Make((ulong)i + 1, Now - Duration.FromHours(60) + Duration.FromMinutes(i * 10), new LoadReading(camera.Id, ChargeActivity.Charging, null, new Watts(5), null, null))));

        string page = await PageAsync(hub, "/energy");

        Assert.Contains("What takes how much?", page, StringComparison.Ordinal);
        Assert.Contains($"<strong>{camera.Id}</strong>: 120 Wh a day, measured (the trip file says {camera.PerDay.Value:0} Wh)", page, StringComparison.Ordinal);
        Assert.Contains("<td>120</td>", page, StringComparison.Ordinal);
    }

    private static Task PushAsync(TestHub hub, params ReportBody[] bodies)
    {
        var writer = new ReportMaker("station-1");
        return PushAsync(hub, writer, bodies.Select((body, i) => writer.Make((ulong)i + 1, Now - Duration.FromMinutes(30), body)));
    }

    private static async Task PushAsync(TestHub hub, ReportMaker writer, IEnumerable<KitMesh.Storage.IncomingReport> reports)
    {
        using GrpcChannel channel = GrpcChannel.ForAddress(hub.Address);
        var push = new V1.PushRequest { Origin = OriginCodec.Write(writer.Origin), FirstSequence = 1 };
        push.Encoded.AddRange(reports.Select(report => Google.Protobuf.ByteString.CopyFrom(ReportCodec.Encode(report.Timed.Report))));
        await new V1.MeshService.MeshServiceClient(channel).PushAsync(push, cancellationToken: Cancel);
        await hub.Application.WhenCaughtUpAsync(Cancel);
    }

    private static async Task<string> PageAsync(TestHub hub, string path)
    {
        using var http = new HttpClient { BaseAddress = hub.Address };
        return WebUtility.HtmlDecode(await http.GetStringAsync(new Uri(path, UriKind.Relative), Cancel));
    }
}
