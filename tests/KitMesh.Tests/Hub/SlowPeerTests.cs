using System.Net;
using System.Net.Sockets;
using Grpc.Core;
using Grpc.Net.Client;
using KitMesh.Domain.Exchange;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Time;
using KitMesh.Hub.Links;
using KitMesh.Protocol.Exchange;
using KitMesh.Sync.Journal;
using KitMesh.Sync.Session;
using KitMesh.TestKit.Hub;
using KitMesh.TestKit.Storage;
using NodaTime;
using V1 = KitMesh.Protocol.V1;

namespace KitMesh.Tests.Hub;

/// <summary>Peers that read slowly, never, or say nothing at all: they get what they read, hold up nobody, and are let go.</summary>
public sealed class SlowPeerTests
{
    private const int Reports = 40_000;
    private static readonly Instant Now = Instant.FromUtc(2027, 2, 21, 18, 0);
    private readonly ReportMaker _maker = new("ridge-agent", 9);

    [Fact]
    public async Task PeerThatNeverReads_IsLetGo_AndHoldsUpNobody()
    {
        await using TestHub hub = await TestHub.StartAsync(change: options => options with { PeerReadsWithin = TimeSpan.FromSeconds(3) }, now: Now);
        await FillAsync(hub, random: true);
        using GrpcChannel channel = GrpcChannel.ForAddress(hub.Address);
        using AsyncDuplexStreamingCall<V1.ExchangeRequest, V1.ExchangeResponse> call = new V1.MeshService.MeshServiceClient(channel).Exchange(cancellationToken: Cancel);
        await SayAsync(call, Hello("ridge-hub", NodeRole.Hub));
        await SayAsync(call, new HoldingsFrame([], true));
        await TestHub.UntilAsync(() => hub.Application.Sessions == 1);

        // Somebody else is served meanwhile, from hello to durable.
        using GrpcChannel other = GrpcChannel.ForAddress(hub.Address);
        using AsyncDuplexStreamingCall<V1.ExchangeRequest, V1.ExchangeResponse> agent = new V1.MeshService.MeshServiceClient(other).Exchange(cancellationToken: Cancel);
        var writer = new ReportMaker("hide-agent", 4);
        await SayAsync(agent, Hello("hide-agent", NodeRole.Agent));
        await SayAsync(agent, new HoldingsFrame([], true));
        await SayAsync(agent, new ReportsFrame(writer.Origin, 1, [writer.Temperature(1, Now, -10).Raw.Bytes]));
        Assert.True(await HearAsync(agent, frame => frame is DurableFrame));
        await agent.RequestStream.CompleteAsync();

        await TestHub.UntilAsync(() => hub.Application.Sessions == 0);
    }

    [Fact]
    public async Task PeerThatReadsAFrameNowAndThen_GetsEverything()
    {
        await using TestHub hub = await TestHub.StartAsync(now: Now);
        await FillAsync(hub, random: true);
        using GrpcChannel channel = GrpcChannel.ForAddress(hub.Address);
        using AsyncDuplexStreamingCall<V1.ExchangeRequest, V1.ExchangeResponse> call = new V1.MeshService.MeshServiceClient(channel).Exchange(cancellationToken: Cancel);
        await SayAsync(call, Hello("ridge-hub", NodeRole.Hub));
        await SayAsync(call, new HoldingsFrame([], true));

        SequenceRanges got = SequenceRanges.Empty;
        using var now = new PeriodicTimer(TimeSpan.FromMilliseconds(20));
        while (got.PrefixEnd < Reports && await call.ResponseStream.MoveNext(Cancel))
        {
            if (FrameCodec.Read(call.ResponseStream.Current.Frame) is ReportsFrame frame && frame.Origin == _maker.Origin)
            {
                got = got.With(new SequenceRange(frame.FirstSequence, frame.FirstSequence + (ulong)frame.Reports.Count - 1));
                await now.WaitForNextTickAsync(Cancel);
            }
        }

        Assert.Equal((ulong)Reports, got.PrefixEnd);
    }

    [Fact]
    public async Task PeerThatSaysNothing_IsToldWhyAndLetGo()
    {
        await using TestHub hub = await TestHub.StartAsync(now: Now);
        using GrpcChannel channel = GrpcChannel.ForAddress(hub.Address);
        using AsyncDuplexStreamingCall<V1.ExchangeRequest, V1.ExchangeResponse> call = new V1.MeshService.MeshServiceClient(channel).Exchange(cancellationToken: Cancel);

        Assert.True(await HearAsync(call, frame => frame is ByeFrame { Reason: ByeReason.Protocol } bye && bye.Words.Contains("No hello", StringComparison.Ordinal)));
        await TestHub.UntilAsync(() => hub.Application.Sessions == 0);
    }

    [Fact]
    public async Task DialledHubThatAnswersNothing_HoldsUpNobodyAndNotTheStop()
    {
        using var mute = new TcpListener(IPAddress.Loopback, 0);
        mute.Start();
        Task<Socket> came = mute.AcceptSocketAsync(Cancel).AsTask();
        await using TestHub hub = await TestHub.StartAsync(
            change: options => options with { Hubs = [new Uri($"http://127.0.0.1:{((IPEndPoint)mute.LocalEndpoint).Port}")] },
            now: Now);
        using Socket held = await came.WaitAsync(TimeSpan.FromMinutes(2), Cancel);

        await FillAsync(hub, random: false);

        Assert.Equal((ulong)Reports, hub.Application.Core.Journal.Have(_maker.Origin)!.Ranges.PrefixEnd);
    }

    [Fact]
    public async Task CalledSide_BulkReadings_TakeUnder24BytesEachOnTheWire()
    {
        await using TestHub hub = await TestHub.StartAsync(now: Now);
        await FillAsync(hub, random: false);
        long bytes = 0;
        using GrpcChannel channel = GrpcChannel.ForAddress(hub.Address, new GrpcChannelOptions
        {
            DisposeHttpClient = true,
            HttpHandler = new SocketsHttpHandler
            {
                ConnectCallback = async (context, stop) =>
                {
                    var socket = new Socket(SocketType.Stream, ProtocolType.Tcp);
                    await socket.ConnectAsync(context.DnsEndPoint, stop);
                    return new CountingStream(socket, count => Interlocked.Add(ref bytes, count));
                },
            },
        });
        using AsyncDuplexStreamingCall<V1.ExchangeRequest, V1.ExchangeResponse> call = new V1.MeshService.MeshServiceClient(channel).Exchange(cancellationToken: Cancel);
        await SayAsync(call, Hello("ridge-hub", NodeRole.Hub));
        await SayAsync(call, new HoldingsFrame([], true));

        Assert.True(await HearAsync(call, frame => frame is ReportsFrame reports && reports.Origin == _maker.Origin && reports.FirstSequence + (ulong)reports.Reports.Count > Reports));
        double each = (double)Interlocked.Read(ref bytes) / Reports;
        TestContext.Current.TestOutputHelper?.WriteLine($"{each:0.0} bytes a reading");
        Assert.InRange(each, 1, 24);
    }

    private static CancellationToken Cancel => TestContext.Current.CancellationToken;

    private static async Task<bool> HearAsync(AsyncDuplexStreamingCall<V1.ExchangeRequest, V1.ExchangeResponse> call, Func<SessionFrame, bool> isIt)
    {
        while (await call.ResponseStream.MoveNext(Cancel))
        {
            if (isIt(FrameCodec.Read(call.ResponseStream.Current.Frame)))
            {
                return true;
            }
        }

        return false;
    }

    /// <summary>More than all buffers between two processes of one machine take.</summary>
    private async Task FillAsync(TestHub hub, bool random)
    {
        var noise = new Random(1);
        foreach (int[] part in Enumerable.Range(1, Reports).Chunk(2_000))
        {
            RawReport[] reports = [.. part.Select(i => (random
                ? _maker.Note((ulong)i, Now + Duration.FromSeconds(i), Convert.ToHexString(Enumerable.Range(0, 100).Select(_ => (byte)noise.Next(256)).ToArray()))
                : _maker.Temperature((ulong)i, Now + Duration.FromSeconds(10 * i), -10 + Math.Round(5 * Math.Sin(i / 360.0), 2))).Raw)];
            Assert.IsType<AppendResult.Durable>(await hub.Application.Core.Intake.AppendAsync(reports, Cancel));
        }
    }

    private static HelloFrame Hello(string node, NodeRole role) => new(
        ProtocolVersions.Lowest,
        ProtocolVersions.Highest,
        NodeId.Parse(node),
        role,
        "a test",
        0,
        64 << 20,
        new DeviceTime(Now, new BootId(7), 1),
        ClockTrust.HardwareClock,
        default);

    private static Task SayAsync(AsyncDuplexStreamingCall<V1.ExchangeRequest, V1.ExchangeResponse> call, SessionFrame frame) =>
        call.RequestStream.WriteAsync(new V1.ExchangeRequest { Frame = FrameCodec.Write(frame) });
}
