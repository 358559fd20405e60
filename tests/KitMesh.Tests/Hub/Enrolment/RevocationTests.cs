using Google.Protobuf;
using Grpc.Core;
using Grpc.Net.Client;
using KitMesh.Agent.Identity;
using KitMesh.Agent.Options;
using KitMesh.Domain.Exchange;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using KitMesh.Domain.Time;
using KitMesh.Footage.Ledger;
using KitMesh.Hub.Enrolment;
using KitMesh.Protocol.Certificates;
using KitMesh.Protocol.Exchange;
using KitMesh.Protocol.Reports;
using KitMesh.TestKit.Agent;
using KitMesh.TestKit.Alerts;
using KitMesh.TestKit.Devices;
using KitMesh.TestKit.Enrolment;
using KitMesh.TestKit.Storage;
using NodaTime;
using V1 = KitMesh.Protocol.V1;

namespace KitMesh.Tests.Hub.Enrolment;

/// <summary>Agents with certificates, their renewal, and the end of trust, over real sockets.</summary>
public sealed class RevocationTests : IDisposable
{
    private readonly TemporaryFolder _folder = new();
    private readonly ScriptedReader _reader = new();

    public void Dispose() => _folder.Dispose();

    [Fact]
    public async Task Agent_EnrolledWithADeadClock_DialsAndItsReportsAreDurable()
    {
        await using JoinableHub hub = await JoinableHub.StartAsync();
        await using AgentBench bench = await AgentBench.StartAsync(Options(hub, await hub.JoinAsync("ridge-power")), _reader, Instant.FromUtc(1970, 1, 1, 0, 3));

        _reader.Read(PackScene.Reading(volts: 13));
        await AgentBench.UntilAsync(() => bench.Journalled<BatteryReading>().Count == 1 && bench.Host.ReportsWaiting == 0);

        Assert.NotNull(hub.Hub.Application.Core.Journal.Have(bench.Host.Own));
    }

    [Fact]
    public async Task Agent_WithoutCertificate_KeepsItsReportsAndSaysJoinFirst()
    {
        await using JoinableHub hub = await JoinableHub.StartAsync();
        await using JoinableHub other = await JoinableHub.StartAsync();
        await using AgentBench bench = await AgentBench.StartAsync(Options(hub, await other.JoinAsync("ridge-power")), _reader);

        _reader.Read(PackScene.Reading(volts: 13));
        await AgentBench.UntilAsync(() => bench.Journalled<BatteryReading>().Count == 1 && bench.Said.Any(words => words.Contains("kept here", StringComparison.Ordinal)));

        Assert.True(bench.Host.ReportsWaiting > 0);
        Assert.Null(hub.Hub.Application.Core.Journal.Have(bench.Host.Own));
    }

    [Fact]
    public async Task Agent_EnrolledUnderAnotherName_DoesNotStart()
    {
        await using JoinableHub hub = await JoinableHub.StartAsync();
        IdentityFolder device = await hub.JoinAsync("hide-recorder");

        InvalidOperationException refused = await Assert.ThrowsAsync<InvalidOperationException>(() => AgentBench.StartAsync(Options(hub, device), _reader));

        Assert.Contains("node: hide-recorder", refused.Message, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Renew_AThirdBeforeItsEnd_TheAgentGetsANewCertificateForItsKey()
    {
        await using JoinableHub hub = await JoinableHub.StartAsync();
        IdentityFolder device = await hub.JoinAsync("ridge-power");
        NodeIdentityOf(device, out DateTimeOffset before, out byte[] key);
        hub.Hub.World.AdvanceDays(130);
        await using AgentBench bench = await AgentBench.StartAsync(Options(hub, device), _reader);

        _reader.Read(PackScene.Reading(volts: 13));
        await AgentBench.UntilAsync(() => bench.Said.Any(words => words.Contains("was renewed", StringComparison.Ordinal)));

        NodeIdentityOf(device, out DateTimeOffset after, out byte[] sameKey);
        Assert.Equal(130, (after - before).TotalDays, 1.0);
        Assert.Equal(key, sameKey);
    }

    [Fact]
    public async Task Renew_LongBeforeItsEnd_NothingChanges()
    {
        await using JoinableHub hub = await JoinableHub.StartAsync();
        var client = new V1.EnrolService.EnrolServiceClient(hub.Channel(await hub.JoinAsync("ridge-power")));

        V1.RenewResponse answer = await client.RenewAsync(new V1.RenewRequest(), cancellationToken: Cancel);

        Assert.True(answer.Certificate.IsEmpty);
        Assert.Empty(answer.RevokedNodes);
    }

    [Fact]
    public async Task Renew_AgainAndAgain_IsSlowedDown()
    {
        await using JoinableHub hub = await JoinableHub.StartAsync();
        IdentityFolder device = await hub.JoinAsync("ridge-power");
        Assert.True(device.TryLoad(out KitMesh.Protocol.Certificates.NodeIdentity? identity, out _));
        using var care = new IdentityCare(device, identity, TimeProvider.System);
        GrpcChannel channel = hub.Channel(device);
        var said = new List<string>();

        for (int i = 0; i < 12; i++)
        {
            said.Add(await care.AskAsync(channel, now: true, Cancel) ?? "");
        }

        Assert.Contains("was renewed", said[0], StringComparison.Ordinal);
        Assert.Contains("often enough", said[^1], StringComparison.Ordinal);
    }

    [Fact]
    public async Task Renew_ForAnotherKey_IsRefused()
    {
        await using JoinableHub hub = await JoinableHub.StartAsync();
        var client = new V1.EnrolService.EnrolServiceClient(hub.Channel(await hub.JoinAsync("ridge-power")));
        using var key = TripMaker.NewKey();
        byte[] request = new System.Security.Cryptography.X509Certificates.CertificateRequest("CN=x", key, System.Security.Cryptography.HashAlgorithmName.SHA256).CreateSigningRequest();

        RpcException refused = await Assert.ThrowsAsync<RpcException>(async () =>
            await client.RenewAsync(new V1.RenewRequest { Now = true, Request = ByteString.CopyFrom(request) }, cancellationToken: Cancel));

        Assert.Equal(StatusCode.InvalidArgument, refused.StatusCode);
    }

    [Fact]
    public async Task Revoke_ANode_EndsItsStreamAndItsCallsAndItsName()
    {
        await using JoinableHub hub = await JoinableHub.StartAsync();
        IdentityFolder device = await hub.JoinAsync("ridge-power", "writer reader");
        GrpcChannel channel = hub.Channel(device);
        using var stream = new V1.MeshService.MeshServiceClient(channel).Exchange(cancellationToken: Cancel);
        Assert.True(await stream.ResponseStream.MoveNext(Cancel));

        await hub.Owner.RevokeNodeAsync(new V1.RevokeNodeRequest { Node = "ridge-power", Reason = "lost on the glacier", Author = "the lead" }, cancellationToken: Cancel);

        await Assert.ThrowsAsync<RpcException>(async () =>
        {
            while (await stream.ResponseStream.MoveNext(Cancel))
            {
                // What was under way may still come.
            }
        });
        RpcException refused = await Assert.ThrowsAsync<RpcException>(async () =>
            await new V1.OutlookService.OutlookServiceClient(hub.Channel(device)).GetStatusAsync(new V1.GetStatusRequest(), cancellationToken: Cancel));
        Assert.Equal(StatusCode.Unauthenticated, refused.StatusCode);
        Assert.Contains("was ended", refused.Status.Detail, StringComparison.Ordinal);
        await Assert.ThrowsAsync<RpcException>(() => hub.MintAsync("ridge-power"));
        V1.EnrolledNode listed = (await hub.Owner.ListNodesAsync(new V1.ListNodesRequest(), cancellationToken: Cancel)).Nodes.Single(node => node.Node == "ridge-power");
        Assert.True(listed.Revoked);
        Assert.Equal("the lead: lost on the glacier", listed.Words);
    }

    [Fact]
    public async Task Revoke_AStation_LaterProofsAreKeptAndReleaseNothing()
    {
        await using JoinableHub hub = await JoinableHub.StartAsync();
        GrpcChannel station = hub.Channel(await hub.JoinAsync("ridge-station"));
        var writer = new ReportMaker("ridge-station", 7);
        KitId card = KitId.Parse("card 7");
        KitId visit = KitId.Parse("visit 1");
        var clip = new ClipHash(7);
        ReportBody[] before = [new CardSeen(card, visit, null, new ByteCount(100), new ByteCount(10), 1), new ClipFound(clip, card, visit, "a.mov", new ByteCount(10), null, null, null, null), Copy(clip, "drive A")];
        ReportBody[] after = [Copy(clip, "drive B"), Copy(clip, "drive C")];
        await PushAsync(station, writer, 1, before);
        await hub.Owner.RevokeNodeAsync(new V1.RevokeNodeRequest { Node = "ridge-station", Reason = "stolen" }, cancellationToken: Cancel);

        // The thief's reports come in by way of another hub that had not heard of it yet.
        await hub.Hub.Application.Core.Intake.AppendAsync([.. after.Select((body, i) => writer.Make((ulong)(4 + i), TripMaker.Now, body).Raw)], Cancel);
        await hub.Hub.Application.WhenCaughtUpAsync(Cancel);
        LedgerSnapshot ledger = hub.Hub.Application.Core.View.LedgerAt(TripMaker.Now + Duration.FromHours(1));

        Assert.NotNull(hub.Hub.Application.Core.Journal.Have(writer.Origin));
        Assert.Equal(5UL, hub.Hub.Application.Core.Journal.Have(writer.Origin)!.Ranges.Last);
        var row = ledger.View(LedgerQuery.All).Clips.Single();
        Assert.Equal(1, row.ProvenCopies);
    }

    [Fact]
    public async Task Revoke_ByAKeeperWithACertificate_NamesTheKeeper()
    {
        await using JoinableHub hub = await JoinableHub.StartAsync();
        var keeper = new V1.EnrolService.EnrolServiceClient(hub.Channel(await hub.JoinAsync("lead-phone", "keeper")));
        await hub.JoinAsync("ridge-power");

        await keeper.RevokeNodeAsync(new V1.RevokeNodeRequest { Node = "ridge-power", Reason = "lost" }, cancellationToken: Cancel);

        V1.ListNodesResponse list = await keeper.ListNodesAsync(new V1.ListNodesRequest(), cancellationToken: Cancel);
        Assert.Equal("lead-phone: lost", list.Nodes.Single(node => node.Node == "ridge-power").Words);
    }

    [Theory]
    [InlineData("base-camp", "lost")]
    [InlineData("Not A Node", "lost")]
    [InlineData("ridge-power", "")]
    public async Task Revoke_WrongRequest_ChangesNothing(string node, string reason)
    {
        await using JoinableHub hub = await JoinableHub.StartAsync();

        RpcException refused = await Assert.ThrowsAsync<RpcException>(async () =>
            await hub.Owner.RevokeNodeAsync(new V1.RevokeNodeRequest { Node = node, Reason = reason }, cancellationToken: Cancel));

        Assert.Equal(StatusCode.InvalidArgument, refused.StatusCode);
        Assert.DoesNotContain((await hub.Owner.ListNodesAsync(new V1.ListNodesRequest(), cancellationToken: Cancel)).Nodes, listed => listed.Revoked);
    }

    [Fact]
    public async Task Revocation_PassedOnByAHub_HoldsAtTheOtherHubToo()
    {
        await using JoinableHub first = await JoinableHub.StartAsync();
        (var code, var pin) = await first.MintAsync("ridge-hub", "hub");
        var enrolled = Assert.IsType<EnrolOutcome.Enrolled>(await first.EnrolAsync(code, pin));
        new HubIdentityFolder(_folder.At("ridge")).SaveIssuer(enrolled.Root, enrolled.Certificate, enrolled.Key);
        await using JoinableHub second = await JoinableHub.StartAsync(_folder.At("ridge"), change: options => options with { Node = NodeId.Parse("ridge-hub") });
        IdentityFolder device = await first.JoinAsync("ridge-power", "writer reader");
        await new V1.OutlookService.OutlookServiceClient(second.Channel(device)).GetStatusAsync(new V1.GetStatusRequest(), cancellationToken: Cancel);
        await first.Owner.RevokeNodeAsync(new V1.RevokeNodeRequest { Node = "ridge-power", Reason = "lost" }, cancellationToken: Cancel);

        await RelayOwnReportsAsync(first, second);

        RpcException refused = await Assert.ThrowsAsync<RpcException>(async () =>
            await new V1.OutlookService.OutlookServiceClient(second.Channel(device)).GetStatusAsync(new V1.GetStatusRequest(), cancellationToken: Cancel));
        Assert.Contains("was ended", refused.Status.Detail, StringComparison.Ordinal);
        Assert.Contains("ridge-power", (await second.Owner.ListNodesAsync(new V1.ListNodesRequest(), cancellationToken: Cancel)).Nodes.Where(node => node.Revoked).Select(node => node.Node));
    }

    [Fact]
    public async Task Device_ToldThatAHubWasRevoked_DialsItNoMore()
    {
        await using JoinableHub hub = await JoinableHub.StartAsync();
        IdentityFolder device = await hub.JoinAsync("ridge-power", "reader");
        await new V1.OutlookService.OutlookServiceClient(hub.Channel(device)).GetStatusAsync(new V1.GetStatusRequest(), cancellationToken: Cancel);

        device.SaveRevoked([NodeId.Parse("base-camp")]);

        await Assert.ThrowsAsync<RpcException>(async () =>
            await new V1.OutlookService.OutlookServiceClient(hub.Channel(device)).GetStatusAsync(new V1.GetStatusRequest(), cancellationToken: Cancel));
    }

    [Fact]
    public async Task Agent_AtEachMeeting_IsToldWhoWasRevoked()
    {
        await using JoinableHub hub = await JoinableHub.StartAsync();
        IdentityFolder device = await hub.JoinAsync("ridge-power");
        await hub.Owner.RevokeNodeAsync(new V1.RevokeNodeRequest { Node = "ridge-hub", Reason = "stolen" }, cancellationToken: Cancel);
        await using AgentBench bench = await AgentBench.StartAsync(Options(hub, device), _reader);

        _reader.Read(PackScene.Reading(volts: 13));
        await AgentBench.UntilAsync(() => device.ReadRevoked().Contains(NodeId.Parse("ridge-hub")));
    }

    [Fact]
    public async Task FurtherHub_EnrolledAtTheFirst_LetsWritersInWhomBothHubsKnow()
    {
        await using JoinableHub first = await JoinableHub.StartAsync();
        (var code, var pin) = await first.MintAsync("ridge-hub", "hub");
        var enrolled = Assert.IsType<EnrolOutcome.Enrolled>(await first.EnrolAsync(code, pin));
        var folder = new HubIdentityFolder(_folder.At("ridge"));
        folder.SaveIssuer(enrolled.Root, enrolled.Certificate, enrolled.Key);
        await using JoinableHub second = await JoinableHub.StartAsync(_folder.At("ridge"), change: options => options with { Node = NodeId.Parse("ridge-hub") });

        IdentityFolder device = await second.JoinAsync("ridge-power", "writer reader");
        await new V1.OutlookService.OutlookServiceClient(second.Channel(device)).GetStatusAsync(new V1.GetStatusRequest(), cancellationToken: Cancel);
        await new V1.OutlookService.OutlookServiceClient(first.Channel(device)).GetStatusAsync(new V1.GetStatusRequest(), cancellationToken: Cancel);
        RpcException keeper = await Assert.ThrowsAsync<RpcException>(() => second.MintAsync("lead-phone", "keeper"));
        Assert.Equal(StatusCode.InvalidArgument, keeper.StatusCode);

        // A further hub that is stolen takes those that it let in with it.
        await first.Owner.RevokeNodeAsync(new V1.RevokeNodeRequest { Node = "ridge-hub", Reason = "stolen" }, cancellationToken: Cancel);
        RpcException refused = await Assert.ThrowsAsync<RpcException>(async () =>
            await new V1.OutlookService.OutlookServiceClient(first.Channel(device)).GetStatusAsync(new V1.GetStatusRequest(), cancellationToken: Cancel));
        Assert.Contains("ridge-hub", refused.Status.Detail, StringComparison.Ordinal);
    }

    [Fact]
    public async Task DeviceOfAFurtherHub_DialsAgainAndAgain_IsKnownEachTime()
    {
        await using JoinableHub first = await JoinableHub.StartAsync();
        (var code, var pin) = await first.MintAsync("ridge-hub", "hub");
        var enrolled = Assert.IsType<EnrolOutcome.Enrolled>(await first.EnrolAsync(code, pin));
        new HubIdentityFolder(_folder.At("ridge")).SaveIssuer(enrolled.Root, enrolled.Certificate, enrolled.Key);
        await using JoinableHub second = await JoinableHub.StartAsync(_folder.At("ridge"), change: options => options with { Node = NodeId.Parse("ridge-hub") });
        IdentityFolder device = await second.JoinAsync("ridge-power", "writer reader");
        Assert.True(device.TryLoad(out NodeIdentity? identity, out _));
        using (identity)
        {
            // One process dials as one identity: what TLS remembers of the first connection must not make the second a stranger's.
            for (int i = 0; i < 4; i++)
            {
                using GrpcChannel channel = GrpcChannel.ForAddress(second.Address, new GrpcChannelOptions { HttpHandler = identity.CreateHandler(), DisposeHttpClient = true });
                await new V1.OutlookService.OutlookServiceClient(channel).GetStatusAsync(new V1.GetStatusRequest(), cancellationToken: Cancel);
            }
        }
    }

    private static CancellationToken Cancel => TestContext.Current.CancellationToken;

    /// <summary>Hands over what a hub wrote itself, as another hub of the trip: with the first hub's own certificate.</summary>
    private static async Task RelayOwnReportsAsync(JoinableHub from, JoinableHub to)
    {
        var journal = from.Hub.Application.Core.Journal;
        ulong last = journal.Have(journal.Own)!.Ranges.PrefixEnd;
        ReadOnlyMemory<byte>[] reports = [.. journal.Read(journal.Own, new SequenceRange(1, last), 1 << 20).Reports.Select(report => report.Bytes)];
        using HubIdentity identity = HubIdentity.Open(new HubIdentityFolder(from.Hub.Folder), NodeId.Parse("base-camp"), [System.Net.IPAddress.Loopback], TripMaker.Now);
        using SocketsHttpHandler handler = identity.Self.CreateHandler();
        using GrpcChannel channel = GrpcChannel.ForAddress(to.Address, new GrpcChannelOptions { HttpHandler = handler });
        using var call = new V1.MeshService.MeshServiceClient(channel).Exchange(cancellationToken: Cancel);
        var clock = new DeviceTime(TripMaker.Now, new BootId(1), 1);
        foreach (SessionFrame frame in (SessionFrame[])
            [
                new HelloFrame(1, 1, NodeId.Parse("base-camp"), NodeRole.Hub, "test", 0, 1 << 20, clock, ClockTrust.PersonSet, default),
                new HoldingsFrame([], Last: true),
                new ReportsFrame(journal.Own, 1, reports),
            ])
        {
            await call.RequestStream.WriteAsync(new V1.ExchangeRequest { Frame = FrameCodec.Write(frame) }, Cancel);
        }

        await foreach (V1.ExchangeResponse answer in call.ResponseStream.ReadAllAsync(Cancel))
        {
            Assert.NotEqual(V1.Frame.KindOneofCase.Bye, answer.Frame.KindCase);
            if (answer.Frame.KindCase == V1.Frame.KindOneofCase.Durable && answer.Frame.Durable.Origins.Any(origin => origin.Origin.Node == "base-camp"))
            {
                break;
            }
        }

        await to.Hub.Application.WhenCaughtUpAsync(Cancel);
    }

    private static CopyVerified Copy(ClipHash clip, string drive) => new(clip, KitId.Parse(drive), "a.mov", new ByteCount(10), ReadBackLevel.Direct, false);

    private static void NodeIdentityOf(IdentityFolder device, out DateTimeOffset until, out byte[] key)
    {
        Assert.True(device.TryLoad(out KitMesh.Protocol.Certificates.NodeIdentity? identity, out string? why), why);
        using (identity)
        {
            until = identity.Member.Span.Until;
            key = identity.Certificate.PublicKey.ExportSubjectPublicKeyInfo();
        }
    }

    private AgentOptions Options(JoinableHub hub, IdentityFolder device) =>
        AgentBench.Options(_folder.At("agent"), _reader, [hub.Address]) with { SendWait = TimeSpan.Zero, IdentityFolder = device.Path };

    private static async Task PushAsync(GrpcChannel channel, ReportMaker writer, ulong first, ReportBody[] bodies)
    {
        var request = new V1.PushRequest { Origin = OriginCodec.Write(writer.Origin), FirstSequence = first };
        request.Encoded.AddRange(bodies.Select((body, i) => ByteString.CopyFrom(ReportCodec.Encode(writer.Make(first + (ulong)i, TripMaker.Now, body).Timed.Report))));
        await new V1.MeshService.MeshServiceClient(channel).PushAsync(request, cancellationToken: Cancel);
    }
}
