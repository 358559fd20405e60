using System.Globalization;
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

namespace KitMesh.Tests.Hub.Pages;

/// <summary>No page waits for an outlook: it says which one it shows, and the live stream tells when there is a newer one.</summary>
public sealed class OlderOutlookTests
{
    private const string Marker = "id=\"older\"";
    private static readonly ReportMaker Writer = new("ridge-agent");

    public static TheoryData<string> Pages => ["/", "/energy", "/morning", "/footage", "/trip"];

    private static CancellationToken Cancel => TestContext.Current.CancellationToken;

    [Theory]
    [MemberData(nameof(Pages))]
    public async Task Page_WhileAnOutlookIsComputed_ShowsTheLastWithItsAgeAndTheStreamTellsOfTheNext(string path)
    {
        await using TestHub hub = await TestHub.StartAsync(now: EnergyScene.Evening, change: options => options with { PagePatience = TimeSpan.Zero, OutlookPaths = 1_000 });
        using GrpcChannel channel = GrpcChannel.ForAddress(hub.Address);
        using var http = new HttpClient { BaseAddress = hub.Address };
        await using Stream stream = await http.GetStreamAsync(new Uri("/live", UriKind.Relative), Cancel);
        using var live = new StreamReader(stream);
        await DeclareAsync(channel);
        await ReadBankAsync(hub, channel, 1, EnergyScene.Evening - Duration.FromMinutes(10));

        string first = await http.GetStringAsync(new Uri(path, UriKind.Relative), Cancel);
        Assert.Contains("The outlook is being worked out", first, StringComparison.Ordinal);
        Assert.Contains("Lithium packs can burn.", first, StringComparison.Ordinal);
        await OutlookAsync(live, 1);
        Assert.DoesNotContain(Marker, await http.GetStringAsync(new Uri(path, UriKind.Relative), Cancel), StringComparison.Ordinal);

        hub.World.Advance(Duration.FromMinutes(5));
        await ReadBankAsync(hub, channel, 2, EnergyScene.Evening + Duration.FromMinutes(4));
        string older = await http.GetStringAsync(new Uri(path, UriKind.Relative), Cancel);
        Assert.Contains("data-number=\"1\"", older, StringComparison.Ordinal);
        Assert.Contains("5 minutes ago", older, StringComparison.Ordinal);
        await OutlookAsync(live, 2);
        Assert.DoesNotContain(Marker, await http.GetStringAsync(new Uri(path, UriKind.Relative), Cancel), StringComparison.Ordinal);
    }

    [Fact]
    public async Task WhatIf_BeforeItsBasisIsComputed_SaysSoAndAnswersAMomentLater()
    {
        await using TestHub hub = await TestHub.StartAsync(now: EnergyScene.Evening, change: options => options with { PagePatience = TimeSpan.Zero });
        using GrpcChannel channel = GrpcChannel.ForAddress(hub.Address);
        using var http = new HttpClient { BaseAddress = hub.Address };
        await DeclareAsync(channel);
        await ReadBankAsync(hub, channel, 1, EnergyScene.Evening - Duration.FromMinutes(10));

        string page = await http.GetStringAsync(new Uri("/what-if?cloudy=2", UriKind.Relative), Cancel);
        Assert.Contains("The basis of it is being worked out", page, StringComparison.Ordinal);
        while (!page.Contains("Chance of running short:", StringComparison.Ordinal))
        {
            page = await http.GetStringAsync(new Uri("/what-if?cloudy=2", UriKind.Relative), Cancel);
        }

        Assert.DoesNotContain(Marker, page, StringComparison.Ordinal);
    }

    private static async Task DeclareAsync(GrpcChannel channel)
    {
        var kit = new V1.DeclareKitRequest();
        kit.Items.AddRange(EnergyScene.Kit.Append(new Outlet(KitId.Parse("ridge usb"), EnergyScene.BankId, new Watts(60), 0.9)).Select(KitItemCodec.Write));
        await new V1.MeshService.MeshServiceClient(channel).DeclareKitAsync(kit, cancellationToken: Cancel);
    }

    private static async Task ReadBankAsync(TestHub hub, GrpcChannel channel, ulong sequence, Instant at)
    {
        TimedReading bank = EnergyScene.Battery(0.3, 13.3, -1, 0.9, 8);
        var push = new V1.PushRequest { Origin = OriginCodec.Write(Writer.Origin), FirstSequence = sequence };
        push.Encoded.Add(Google.Protobuf.ByteString.CopyFrom(ReportCodec.Encode(Writer.Make(sequence, at, bank.Body).Timed.Report)));
        await new V1.MeshService.MeshServiceClient(channel).PushAsync(push, cancellationToken: Cancel);
        await hub.Application.WhenCaughtUpAsync(Cancel);
    }

    /// <summary>Waits until the stream has told of an outlook with this number.</summary>
    private static async Task OutlookAsync(StreamReader live, long number)
    {
        while (await live.ReadLineAsync(Cancel) is { } line)
        {
            if (line.StartsWith("data: ", StringComparison.Ordinal) && long.Parse(line.Split(' ')[2], CultureInfo.InvariantCulture) >= number)
            {
                return;
            }
        }

        throw new InvalidOperationException("The stream ended early.");
    }
}
