using Grpc.Core;
using Grpc.Net.Client;
using KitMesh.Domain.Exchange;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Time;
using KitMesh.Protocol.Exchange;
using KitMesh.Storage;
using KitMesh.Sync.Session;
using KitMesh.TestKit.Hub;
using KitMesh.TestKit.Storage;
using NodaTime;
using V1 = KitMesh.Protocol.V1;

namespace KitMesh.Tests.Hub;

/// <summary>Sessions over the real stream, spoken by hand so that each side of the border is seen.</summary>
public sealed class ExchangeTests
{
    private static readonly Instant Now = Instant.FromUtc(2027, 2, 21, 18, 0);
    private readonly ReportMaker _maker = new("ridge-agent", 9);

    [Fact]
    public async Task Exchange_AfterAWeekAway_EverythingBecomesDurableAndIsInTheStore()
    {
        const int count = 7 * 24 * 12;
        await using TestHub hub = await TestHub.StartAsync(now: Now);
        IncomingReport[] week = [.. Enumerable.Range(1, count).Select(i => _maker.Temperature((ulong)i, Now - Duration.FromDays(7) + Duration.FromMinutes(5 * i), -10))];
        using GrpcChannel channel = GrpcChannel.ForAddress(hub.Address);
        using AsyncDuplexStreamingCall<V1.ExchangeRequest, V1.ExchangeResponse> call = new V1.MeshService.MeshServiceClient(channel).Exchange(cancellationToken: Cancel);
        await SayHelloAsync(call, ProtocolVersions.Lowest);

        foreach (IncomingReport[] part in week.Chunk(500))
        {
            await SayAsync(call, new ReportsFrame(_maker.Origin, part[0].Raw.Key.Sequence, [.. part.Select(report => report.Raw.Bytes)]));
        }

        SequenceRanges durable = SequenceRanges.Empty;
        while (durable.PrefixEnd < count && await call.ResponseStream.MoveNext(Cancel))
        {
            if (FrameCodec.Read(call.ResponseStream.Current.Frame) is DurableFrame frame)
            {
                durable = durable.Union(frame.Origins.Single(origin => origin.Origin == _maker.Origin).Ranges);
                SequenceRanges kept = hub.Application.Core.Journal.Have(_maker.Origin)!.Ranges;
                Assert.True(durable.Except(kept).IsEmpty, "Durable was said of what the journal does not hold.");
            }
        }

        Assert.Equal((ulong)count, durable.PrefixEnd);
        await hub.Application.Core.View.WhenCaughtUpAsync(Cancel);
        IReadOnlyDictionary<ReportKind, long> counts = await hub.Application.Core.Keeper.Store.CountByKindAsync(Cancel);
        Assert.Equal(count, counts[ReportKind.TemperatureReading]);
    }

    [Fact]
    public async Task Exchange_UnknownProtocolVersion_RefusedInWords()
    {
        await using TestHub hub = await TestHub.StartAsync(now: Now);
        using GrpcChannel channel = GrpcChannel.ForAddress(hub.Address);
        using AsyncDuplexStreamingCall<V1.ExchangeRequest, V1.ExchangeResponse> call = new V1.MeshService.MeshServiceClient(channel).Exchange(cancellationToken: Cancel);

        await SayAsync(call, Hello(9_999));

        ByeFrame? bye = null;
        while (await call.ResponseStream.MoveNext(Cancel))
        {
            bye = FrameCodec.Read(call.ResponseStream.Current.Frame) as ByeFrame ?? bye;
        }

        Assert.Equal(ByeReason.Version, bye!.Reason);
        Assert.Contains("install newer software on base-camp", bye.Words, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Exchange_MoreSessionsThanAllowed_ToldToComeBack()
    {
        await using TestHub hub = await TestHub.StartAsync(change: options => options with { MaxSessions = 1 }, now: Now);
        using GrpcChannel channel = GrpcChannel.ForAddress(hub.Address);
        var mesh = new V1.MeshService.MeshServiceClient(channel);
        using AsyncDuplexStreamingCall<V1.ExchangeRequest, V1.ExchangeResponse> first = mesh.Exchange(cancellationToken: Cancel);
        await SayHelloAsync(first, ProtocolVersions.Lowest);

        using AsyncDuplexStreamingCall<V1.ExchangeRequest, V1.ExchangeResponse> second = mesh.Exchange(cancellationToken: Cancel);
        RpcException refused = await Assert.ThrowsAsync<RpcException>(() => second.ResponseStream.MoveNext(Cancel));

        Assert.Equal(StatusCode.ResourceExhausted, refused.StatusCode);
        Assert.Contains("Nothing is lost", refused.Status.Detail, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Dispose_WithAnOpenSession_SaysByeAndDoesNotWaitForThePeer()
    {
        TestHub hub = await TestHub.StartAsync(now: Now);
        using GrpcChannel channel = GrpcChannel.ForAddress(hub.Address);
        using AsyncDuplexStreamingCall<V1.ExchangeRequest, V1.ExchangeResponse> call = new V1.MeshService.MeshServiceClient(channel).Exchange(cancellationToken: Cancel);
        await SayHelloAsync(call, ProtocolVersions.Lowest);

        // The peer keeps its side open on purpose: only the hub can end the stream.
        Task stopping = hub.DisposeAsync().AsTask();
        ByeFrame? bye = null;
        while (bye is null && await call.ResponseStream.MoveNext(Cancel))
        {
            bye = FrameCodec.Read(call.ResponseStream.Current.Frame) as ByeFrame;
        }

        // Only now: without the hub's bye nothing would end here.
        await stopping.WaitAsync(TimeSpan.FromMinutes(2), Cancel);
        Assert.Equal(ByeReason.GoingAway, bye!.Reason);
        Assert.Contains("is stopping", bye.Words, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Dispose_WithReportsOnTheirWay_WhatWasAcknowledgedIsThereAfterwards()
    {
        string folder = Directory.CreateTempSubdirectory("kitmesh-hub-").FullName;
        TestHub hub = await TestHub.StartAsync(folder, now: Now);
        using GrpcChannel channel = GrpcChannel.ForAddress(hub.Address);
        using AsyncDuplexStreamingCall<V1.ExchangeRequest, V1.ExchangeResponse> call = new V1.MeshService.MeshServiceClient(channel).Exchange(cancellationToken: Cancel);
        await SayHelloAsync(call, ProtocolVersions.Lowest);
        IncomingReport[] reports = [.. Enumerable.Range(1, 1_000).Select(i => _maker.Temperature((ulong)i, Now + Duration.FromMinutes(i), -10))];
        await SayAsync(call, new ReportsFrame(_maker.Origin, 1, [.. reports.Select(report => report.Raw.Bytes)]));

        Task stopping = hub.DisposeAsync().AsTask();
        SequenceRanges durable = SequenceRanges.Empty;
        while (await call.ResponseStream.MoveNext(Cancel))
        {
            if (FrameCodec.Read(call.ResponseStream.Current.Frame) is DurableFrame frame)
            {
                durable = durable.Union(frame.Origins.Single(origin => origin.Origin == _maker.Origin).Ranges);
            }
        }

        await stopping.WaitAsync(TimeSpan.FromMinutes(2), Cancel);
        await using TestHub again = await TestHub.StartAsync(folder, now: Now);
        SequenceRanges kept = again.Application.Core.Journal.Have(_maker.Origin)?.Ranges ?? SequenceRanges.Empty;
        Assert.True(durable.Except(kept).IsEmpty, $"Acknowledged {durable}, kept {kept}.");
    }

    private static CancellationToken Cancel => TestContext.Current.CancellationToken;

    private async Task SayHelloAsync(AsyncDuplexStreamingCall<V1.ExchangeRequest, V1.ExchangeResponse> call, uint version)
    {
        await SayAsync(call, Hello(version));
        await SayAsync(call, new HoldingsFrame([], true));
        while (await call.ResponseStream.MoveNext(Cancel))
        {
            if (FrameCodec.Read(call.ResponseStream.Current.Frame) is HelloFrame)
            {
                return;
            }
        }
    }

    private HelloFrame Hello(uint version) => new(
        version,
        version,
        _maker.Origin.Node,
        NodeRole.Agent,
        "a test",
        0,
        1 << 20,
        new DeviceTime(Now, new BootId(7), 1),
        ClockTrust.HardwareClock,
        default);

    private static Task SayAsync(AsyncDuplexStreamingCall<V1.ExchangeRequest, V1.ExchangeResponse> call, SessionFrame frame) =>
        call.RequestStream.WriteAsync(new V1.ExchangeRequest { Frame = FrameCodec.Write(frame) });
}
