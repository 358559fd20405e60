using Grpc.Core;
using Grpc.Net.Client;
using KitMesh.Cli.Frame;
using KitMesh.Domain.Digest;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Protocol.Exchange;
using KitMesh.Protocol.Kit;
using KitMesh.Protocol.Reports;
using KitMesh.TestKit.Hub;
using KitMesh.TestKit.Storage;
using KitMesh.Tests.Cli;
using KitMesh.Tests.Outlook.Energy;
using NodaTime;
using V1 = KitMesh.Protocol.V1;

namespace KitMesh.Tests.Hub;

/// <summary>A team's hub packs a line; base camp's hub, which never heard the team's devices, takes it in.</summary>
public sealed class DigestServiceTests
{
    private static CancellationToken Cancel => TestContext.Current.CancellationToken;

    [Fact]
    public async Task Digest_PackedHereHeardThere_IsASecondHandReportWithItsAge()
    {
        await using TestHub ridge = await TestHub.StartAsync(now: EnergyScene.Evening);
        await using TestHub camp = await TestHub.StartAsync(now: EnergyScene.Evening + Duration.FromHours(9));
        await DeclareAsync(ridge, EnergyScene.Battery(0.2, 13.2, 0, 0.5, -6));
        await DeclareAsync(camp);

        CliRun packed = await CliRun.OfAsync("digest", "--hub", ridge.Address.ToString(), "--size", "51");
        Assert.Equal(ExitCode.Good, packed.Code);
        string line = packed.Output.Trim();
        Assert.InRange(line.Length, 40, 51);

        CliRun heard = await CliRun.OfAsync("digest", "--hub", camp.Address.ToString(), "--read", DigestLine.Grouped(line), "--by", "runner");
        Assert.Equal(ExitCode.Good, heard.Code);
        Assert.Contains("ridge team: second-hand news, 9 hours old", heard.Output, StringComparison.Ordinal);
        Assert.Contains("% full, give or take", heard.Output, StringComparison.Ordinal);
        Assert.Contains("warm before charging", heard.Output, StringComparison.Ordinal);

        await camp.Application.WhenCaughtUpAsync(Cancel);
        DigestHeard body = Assert.Single(camp.Application.Core.View.Now.State.Digests).Value;
        Assert.Equal(new DigestHeard(line, "runner"), body);
        using var http = new HttpClient { BaseAddress = camp.Address };
        string page = await http.GetStringAsync(new Uri("/", UriKind.Relative), Cancel);
        Assert.Contains("Second-hand, 9 hours old.", page, StringComparison.Ordinal);
    }

    [Fact]
    public async Task ListDigests_SeveralLinesOfOneTeam_ShowsTheNewestAndLetsNoFutureClockHideOthers()
    {
        await using TestHub camp = await TestHub.StartAsync(now: EnergyScene.Evening);
        await DeclareAsync(camp);
        using GrpcChannel channel = GrpcChannel.ForAddress(camp.Address);
        var digests = new V1.DigestService.DigestServiceClient(channel);
        DigestContent content = Digest.DigestLineTests.Example();
        foreach (Instant made in new[] { EnergyScene.Evening + Duration.FromDays(400), EnergyScene.Evening + Duration.FromHours(1), EnergyScene.Evening - Duration.FromHours(20) })
        {
            await digests.HearDigestAsync(new V1.HearDigestRequest { Line = DigestLine.Write(content with { MadeAt = made }, DigestSize.Radio51) }, cancellationToken: Cancel);
            camp.World.Advance(Duration.FromHours(3));
        }

        await camp.Application.WhenCaughtUpAsync(Cancel);
        V1.HeardDigest heard = Assert.Single((await digests.ListDigestsAsync(new V1.ListDigestsRequest(), cancellationToken: Cancel)).Digests);

        // Typed at 0 h claiming day 400 (believed to be 0 h), at 3 h made at 1 h, at 6 h made 20 h before; asked at 9 h.
        Assert.Equal("ridge team", heard.Team);
        Assert.Equal("8 hours old", heard.Age);
        Assert.Equal(3, camp.Application.Core.View.Now.State.Digests.Count);
    }

    [Fact]
    public async Task HearDigest_DamagedLine_IsRefusedAndNothingIsKept()
    {
        await using TestHub camp = await TestHub.StartAsync();
        using GrpcChannel channel = GrpcChannel.ForAddress(camp.Address);
        var digests = new V1.DigestService.DigestServiceClient(channel);
        string line = DigestLine.Write(Digest.DigestLineTests.Example(), DigestSize.Radio51);
        string damaged = line[..20] + (line[20] == 'A' ? 'B' : 'A') + line[21..];

        RpcException refused = await Assert.ThrowsAsync<RpcException>(async () => await digests.HearDigestAsync(new V1.HearDigestRequest { Line = damaged }, cancellationToken: Cancel));

        Assert.Equal(StatusCode.InvalidArgument, refused.StatusCode);
        Assert.Contains("symbol 21", refused.Status.Detail, StringComparison.Ordinal);
        Assert.Empty(camp.Application.Core.View.Now.State.Digests);
    }

    [Fact]
    public async Task Digest_WrongArguments_AreBadInput()
    {
        await using TestHub camp = await TestHub.StartAsync();
        string hub = camp.Address.ToString();

        CliRun noTeam = await CliRun.OfAsync("digest", "--hub", hub);
        CliRun size = await CliRun.OfAsync("digest", "--hub", hub, "--size", "52");
        CliRun mixed = await CliRun.OfAsync("digest", "--by", "runner");
        CliRun damaged = await CliRun.OfAsync("digest", "--hub", hub, "--read", "1QYW8F7H2K");
        CliRun nobody = await CliRun.OfAsync("digest", "--hub", "http://127.0.0.1:1");

        Assert.All(new[] { noTeam, size, mixed, damaged }, run => Assert.Equal(ExitCode.BadInput, run.Code));
        Assert.All(new[] { noTeam, size, mixed, damaged, nobody }, run => Assert.Equal("", run.Output));
        Assert.Equal(ExitCode.HubUnreachable, nobody.Code);
        Assert.Contains("No team is declared", noTeam.Talk, StringComparison.Ordinal);
    }

    private static async Task DeclareAsync(TestHub hub, Domain.Results.TimedReading? reading = null)
    {
        using GrpcChannel channel = GrpcChannel.ForAddress(hub.Address);
        var mesh = new V1.MeshService.MeshServiceClient(channel);
        var kit = new V1.DeclareKitRequest();
        kit.Items.AddRange(EnergyScene.Kit.Select(KitItemCodec.Write));
        await mesh.DeclareKitAsync(kit, cancellationToken: Cancel);
        if (reading is { } known)
        {
            var writer = new ReportMaker("ridge-agent");
            var push = new V1.PushRequest { Origin = OriginCodec.Write(writer.Origin), FirstSequence = 1 };
            push.Encoded.Add(Google.Protobuf.ByteString.CopyFrom(ReportCodec.Encode(writer.Make(1, known.Time, known.Body).Timed.Report)));
            await mesh.PushAsync(push, cancellationToken: Cancel);
        }

        await hub.Application.WhenCaughtUpAsync(Cancel);
    }
}
