using Grpc.Net.Client;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using KitMesh.Protocol.Exchange;
using KitMesh.Protocol.Kit;
using KitMesh.Protocol.Reports;
using KitMesh.TestKit.Hub;
using KitMesh.TestKit.Storage;
using KitMesh.Tests.Outlook.Energy;
using NodaTime;
using V1 = KitMesh.Protocol.V1;

namespace KitMesh.Tests.Hub;

/// <summary>The hub answers what gets which outlet from the reports that it merged.</summary>
public sealed class TonightChargingTests
{
    private const string Camera = "ridge camera";

    [Fact]
    public async Task GetOutlook_WarmCameraAndFullBank_PlugsItInBeforeTheMorning()
    {
        await using TestHub hub = await TestHub.StartAsync(now: EnergyScene.Evening);
        using GrpcChannel channel = GrpcChannel.ForAddress(hub.Address);
        await FillAsync(channel);
        await hub.Application.Core.View.WhenCaughtUpAsync(Cancel);

        V1.GetOutlookResponse outlook = await new V1.OutlookService.OutlookServiceClient(channel).GetOutlookAsync(new V1.GetOutlookRequest(), cancellationToken: Cancel);

        Assert.Empty(outlook.Missing);
        V1.ChargingLine[] lines = [.. outlook.Charging.Where(line => line.Load == Camera && line.Outlet.Length > 0)];
        Assert.NotEmpty(lines);
        Offset zone = EnergyScene.Kit.OfType<Trip>().Single().ZoneOffset;
        LocalDate tonight = EnergyScene.Evening.WithOffset(zone).Date;
        Instant morning = (tonight.PlusDays(1) + new LocalTime(7, 0)).WithOffset(zone).ToInstant();
        Assert.All(lines, line => Assert.True(line.From.ToDateTimeOffset() < morning.ToDateTimeOffset()));

        using var http = new HttpClient { BaseAddress = hub.Address };
        string page = await http.GetStringAsync(new Uri("/", UriKind.Relative), Cancel);
        Assert.Contains("What gets which outlet?", page, StringComparison.Ordinal);
        Assert.Contains(Camera, page, StringComparison.Ordinal);
    }

    [Fact]
    public async Task GetOutlook_BeforeTheFirstDay_SaysThatTheTripHasNotBegun()
    {
        await using TestHub hub = await TestHub.StartAsync(now: EnergyScene.Evening - Duration.FromDays(60));
        using GrpcChannel channel = GrpcChannel.ForAddress(hub.Address);
        await FillAsync(channel);

        V1.GetOutlookResponse outlook = await new V1.OutlookService.OutlookServiceClient(channel).GetOutlookAsync(new V1.GetOutlookRequest(), cancellationToken: Cancel);

        Assert.NotEmpty(outlook.Banks);
        Assert.Contains("kitmesh plan", Assert.Single(outlook.Missing), StringComparison.Ordinal);
    }

    private static CancellationToken Cancel => TestContext.Current.CancellationToken;

    private static async Task FillAsync(GrpcChannel channel)
    {
        var mesh = new V1.MeshService.MeshServiceClient(channel);
        var kit = new V1.DeclareKitRequest();
        kit.Items.AddRange(EnergyScene.Kit.Append(new Outlet(KitId.Parse("ridge usb"), EnergyScene.BankId, new Watts(60), 0.9)).Select(KitItemCodec.Write));
        await mesh.DeclareKitAsync(kit, cancellationToken: Cancel);

        var writer = new ReportMaker("ridge-agent");
        Instant at = EnergyScene.Evening - Duration.FromMinutes(10);
        TimedReading bank = EnergyScene.Battery(0.3, 13.3, -1, 0.9, 8);
        var push = new V1.PushRequest { Origin = OriginCodec.Write(writer.Origin), FirstSequence = 1 };
        push.Encoded.Add(Encode(writer, 1, at, bank.Body));
        push.Encoded.Add(Encode(writer, 2, at, new LoadReading(KitId.Parse(Camera), ChargeActivity.Discharging, new StateOfCharge(0.2), null, null, new Celsius(12))));
        await mesh.PushAsync(push, cancellationToken: Cancel);
    }

    private static Google.Protobuf.ByteString Encode(ReportMaker writer, ulong sequence, Instant at, ReportBody body) =>
        Google.Protobuf.ByteString.CopyFrom(ReportCodec.Encode(writer.Make(sequence, at, body).Timed.Report));
}
