using System.Net;
using Google.Protobuf;
using Grpc.Core;
using Grpc.Net.Client;
using KitMesh.Agent.Identity;
using KitMesh.Domain.Exchange;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Time;
using KitMesh.Protocol.Certificates;
using KitMesh.Protocol.Exchange;
using KitMesh.Protocol.Reports;
using KitMesh.TestKit.Enrolment;
using KitMesh.TestKit.Storage;
using NodaTime;
using V1 = KitMesh.Protocol.V1;

namespace KitMesh.Tests.Hub.Enrolment;

/// <summary>Who may do what at a hub that others can reach.</summary>
public sealed class CallerGateTests
{
    private static readonly ReportMaker Ridge = new("ridge-power", 7);

    public static TheoryData<string> Methods =>
    [
        .. new[] { V1.MeshService.Descriptor, V1.OutlookService.Descriptor, V1.EnrolService.Descriptor }
            .SelectMany(service => service.Methods)
            .Select(method => $"{method.Service.FullName}/{method.Name}"),
        "grpc.health.v1.Health/Check",
        "grpc.reflection.v1alpha.ServerReflection/ServerReflectionInfo",
        "kitmesh.v1.MeshService/NoSuchCall",
    ];

    [Theory]
    [MemberData(nameof(Methods))]
    public async Task Stranger_AnyCallButEnrol_JoinFirst(string method)
    {
        await using JoinableHub hub = await JoinableHub.StartAsync();
        using var http = new HttpClient(JoinableHub.StrangerHandler()) { DefaultRequestVersion = HttpVersion.Version20, DefaultVersionPolicy = HttpVersionPolicy.RequestVersionExact };
        using var body = new ByteArrayContent([0, 0, 0, 0, 0]);
        body.Headers.ContentType = new("application/grpc");

        using HttpResponseMessage answer = await http.PostAsync(new Uri(hub.Address, method), body, Cancel);
        await answer.Content.ReadAsByteArrayAsync(Cancel);

        bool isEnrol = method.EndsWith("/Enrol", StringComparison.Ordinal);
        HttpHeaders statuses = new(answer);
        Assert.Equal("16", statuses.Status);
        Assert.Equal(!isEnrol, statuses.Message.StartsWith("Join", StringComparison.Ordinal));
    }

    [Theory]
    [InlineData("/")]
    [InlineData("/kitmesh.css")]
    [InlineData("/v1/status")]
    [InlineData("/v1/reports")]
    [InlineData("/v1/nonsense")]
    [InlineData("/metrics")]
    [InlineData("/../../etc/passwd")]
    public async Task Stranger_AnyPage_JoinFirst(string path)
    {
        await using JoinableHub hub = await JoinableHub.StartAsync();
        using var http = new HttpClient(JoinableHub.StrangerHandler());

        using HttpResponseMessage answer = await http.GetAsync(new Uri(hub.Address, path), Cancel);

        Assert.Equal(HttpStatusCode.Unauthorized, answer.StatusCode);
        Assert.Equal("Join first.", await answer.Content.ReadAsStringAsync(Cancel));
    }

    [Fact]
    public async Task Stranger_CertificateOfAnotherTrip_JoinFirst()
    {
        await using JoinableHub hub = await JoinableHub.StartAsync();
        await using JoinableHub other = await JoinableHub.StartAsync();
        IdentityFolder device = await other.JoinAsync("ridge-power", "reader");
        Assert.True(device.TryLoad(out NodeIdentity? identity, out _));
        using (identity)
        {
            using SocketsHttpHandler handler = identity.CreateHandler();
            handler.SslOptions.RemoteCertificateValidationCallback = static (_, _, _, _) => true;
            using GrpcChannel channel = GrpcChannel.ForAddress(hub.Address, new GrpcChannelOptions { HttpHandler = handler });

            RpcException refused = await Assert.ThrowsAsync<RpcException>(async () => await StatusAsync(channel));

            Assert.Equal(StatusCode.Unauthenticated, refused.StatusCode);
        }
    }

    [Fact]
    public async Task Device_HubOfAnotherTrip_IsNotDialled()
    {
        await using JoinableHub hub = await JoinableHub.StartAsync();
        await using JoinableHub other = await JoinableHub.StartAsync();
        IdentityFolder device = await hub.JoinAsync("ridge-power", "reader");

        await Assert.ThrowsAsync<RpcException>(async () => await StatusAsync(hub.Channel(device, other.Address)));
        await StatusAsync(hub.Channel(device));
    }

    [Theory]
    [InlineData("writer", true, false, false)]
    [InlineData("reader", false, true, false)]
    [InlineData("keeper", true, true, true)]
    [InlineData("writer reader keeper", true, true, true)]
    public async Task Roles_EachCall_ByTheTable(string roles, bool mayPush, bool mayRead, bool mayKeep)
    {
        await using JoinableHub hub = await JoinableHub.StartAsync();
        GrpcChannel channel = hub.Channel(await hub.JoinAsync("ridge-power", roles));
        var mesh = new V1.MeshService.MeshServiceClient(channel);
        var enrol = new V1.EnrolService.EnrolServiceClient(channel);

        Assert.Equal(mayPush ? StatusCode.OK : StatusCode.PermissionDenied, await CodeAsync(() => PushAsync(channel, Ridge.Origin)));
        Assert.Equal(mayRead ? StatusCode.OK : StatusCode.PermissionDenied, await CodeAsync(() => StatusAsync(channel)));
        Assert.Equal(mayKeep ? StatusCode.OK : StatusCode.PermissionDenied, await CodeAsync(() => mesh.DeclareKitAsync(new V1.DeclareKitRequest(), cancellationToken: Cancel).ResponseAsync));
        Assert.Equal(mayKeep ? StatusCode.OK : StatusCode.PermissionDenied, await CodeAsync(() => enrol.MintCodeAsync(new V1.MintCodeRequest { Node = "x", Roles = { "keeper" } }, cancellationToken: Cancel).ResponseAsync));
        Assert.Equal(mayKeep ? StatusCode.OK : StatusCode.PermissionDenied, await CodeAsync(() => enrol.ListNodesAsync(new V1.ListNodesRequest(), cancellationToken: Cancel).ResponseAsync));
        Assert.Equal(mayKeep ? StatusCode.OK : StatusCode.PermissionDenied, await CodeAsync(() => enrol.RevokeNodeAsync(new V1.RevokeNodeRequest { Node = "y", Reason = "lost" }, cancellationToken: Cancel).ResponseAsync));
    }

    [Theory]
    [InlineData("writer")]
    [InlineData("keeper")]
    public async Task Push_OfAnotherNode_IsRefusedAndNothingIsKept(string role)
    {
        await using JoinableHub hub = await JoinableHub.StartAsync();
        GrpcChannel channel = hub.Channel(await hub.JoinAsync("hide-recorder", role));

        RpcException refused = await Assert.ThrowsAsync<RpcException>(() => PushAsync(channel, Ridge.Origin));

        Assert.Equal(StatusCode.PermissionDenied, refused.StatusCode);
        Assert.Contains("own reports only", refused.Status.Detail, StringComparison.Ordinal);
        Assert.Null(hub.Hub.Application.Core.Journal.Have(Ridge.Origin));
    }

    [Theory]
    [InlineData("ridge-power", NodeRole.Agent, "ridge-power", null)]
    [InlineData("base-power", NodeRole.Agent, "base-power", "certificate names")]
    [InlineData("ridge-power", NodeRole.Hub, "ridge-power", "calls itself a hub")]
    [InlineData("ridge-power", NodeRole.Agent, "hide-recorder", "may not hand over")]
    public async Task Exchange_NameRoleAndReports_MustBeTheCertificates(string says, NodeRole role, string writes, string? refusal)
    {
        await using JoinableHub hub = await JoinableHub.StartAsync();
        GrpcChannel channel = hub.Channel(await hub.JoinAsync("ridge-power"));
        var origin = new OriginId(NodeId.Parse(writes), 7);

        string? bye = await TalkAsync(channel, NodeId.Parse(says), role, origin);

        Assert.Equal(refusal is not null, bye is not null);
        Assert.Contains(refusal ?? "", bye ?? "", StringComparison.Ordinal);
        Assert.Equal(refusal is null, hub.Hub.Application.Core.Journal.Have(origin) is not null);
    }

    [Fact]
    public async Task Certificate_PastItsTimeAndGrace_MustJoinAgain()
    {
        await using JoinableHub hub = await JoinableHub.StartAsync();
        IdentityFolder device = await hub.JoinAsync("ridge-power", "reader");

        hub.Hub.World.AdvanceDays(180 + 29);
        await StatusAsync(hub.Channel(device));
        hub.Hub.World.AdvanceDays(2);
        RpcException refused = await Assert.ThrowsAsync<RpcException>(async () => await StatusAsync(hub.Channel(device)));
        hub.Hub.World.Reset(Instant.FromUtc(1970, 1, 1, 0, 0));
        await StatusAsync(hub.Channel(device));

        Assert.Equal(StatusCode.Unauthenticated, refused.StatusCode);
        Assert.Contains("Join again", refused.Status.Detail, StringComparison.Ordinal);
    }

    private static CancellationToken Cancel => TestContext.Current.CancellationToken;

    /// <summary>Says hello and holdings, hands over one report, and waits until it is durable or refused.</summary>
    private static async Task<string?> TalkAsync(GrpcChannel channel, NodeId node, NodeRole role, OriginId origin)
    {
        using var call = new V1.MeshService.MeshServiceClient(channel).Exchange(cancellationToken: Cancel);
        var clock = new DeviceTime(TripMaker.Now, new BootId(1), 1);
        async Task SayAsync(SessionFrame frame)
        {
            try
            {
                await call.RequestStream.WriteAsync(new V1.ExchangeRequest { Frame = FrameCodec.Write(frame) }, Cancel);
            }
            catch (Exception gone) when (gone is RpcException or InvalidOperationException)
            {
                // The hub said bye already; what it said is read below.
            }
        }

        await SayAsync(new HelloFrame(1, 1, node, role, "test", 1, 0, clock, ClockTrust.PersonSet, default));
        await SayAsync(new HoldingsFrame([], Last: true));
        await SayAsync(new ReportsFrame(origin, 1, [ReportCodec.Encode(Ridge.Battery(1, TripMaker.Now, 13).Timed.Report)]));
        await foreach (V1.ExchangeResponse answer in call.ResponseStream.ReadAllAsync(Cancel))
        {
            switch (answer.Frame.KindCase)
            {
                case V1.Frame.KindOneofCase.Bye:
                    return answer.Frame.Bye.Words;
                case V1.Frame.KindOneofCase.Durable:
                    return null;
                default:
                    break;
            }
        }

        return "The stream ended without words.";
    }

    private static async Task PushAsync(GrpcChannel channel, OriginId origin)
    {
        var request = new V1.PushRequest { Origin = OriginCodec.Write(origin), FirstSequence = 1 };
        request.Encoded.Add(ByteString.CopyFrom(ReportCodec.Encode(Ridge.Battery(1, TripMaker.Now, 13).Timed.Report)));
        await new V1.MeshService.MeshServiceClient(channel).PushAsync(request, cancellationToken: Cancel);
    }

    private static Task<V1.GetStatusResponse> StatusAsync(GrpcChannel channel) =>
        new V1.OutlookService.OutlookServiceClient(channel).GetStatusAsync(new V1.GetStatusRequest(), cancellationToken: Cancel).ResponseAsync;

    private static async Task<StatusCode> CodeAsync(Func<Task> call)
    {
        try
        {
            await call();
            return StatusCode.OK;
        }
        catch (RpcException refused)
        {
            return refused.StatusCode;
        }
    }

    private sealed class HttpHeaders(HttpResponseMessage answer)
    {
        public string Status => Find("grpc-status");

        public string Message => Uri.UnescapeDataString(Find("grpc-message"));

        private string Find(string name) =>
            answer.Headers.TryGetValues(name, out IEnumerable<string>? values) || answer.TrailingHeaders.TryGetValues(name, out values) ? values.Single() : "";
    }
}
