using Grpc.Core;
using Grpc.Net.Client;
using KitMesh.Domain.Reports;
using KitMesh.Hub;
using KitMesh.Hub.SelfTest;
using KitMesh.Protocol.Exchange;
using KitMesh.Protocol.Reports;
using KitMesh.Storage.Postgres;
using KitMesh.TestKit.Hub;
using KitMesh.TestKit.Storage;
using NodaTime;
using V1 = KitMesh.Protocol.V1;

namespace KitMesh.Tests.Hub;

/// <summary>Hubs whose store is a PostgreSQL database, and what they do while it is away.</summary>
public sealed class PostgresHubTests
{
    private static readonly Instant Now = Instant.FromUtc(2027, 2, 14, 18, 0);
    private static readonly TimeSpan Patience = TimeSpan.FromMinutes(2);
    private readonly ReportMaker _ridge = new("ridge-agent", 5);

    [Fact]
    public async Task Push_WhileTheDatabaseIsAway_IsDurableAndAnsweredWhenItIsBack()
    {
        Assert.SkipWhen(PostgresServer.Programs is null, PostgresServer.Missing);
        await using PostgresServer server = await PostgresServer.StartAsync();
        await using TestHub hub = await TestHub.StartAsync(change: On(server));
        using GrpcChannel channel = GrpcChannel.ForAddress(hub.Address);
        await PushAsync(channel, 1, 20);
        Assert.Equal(20, await CountAsync(channel));
        Assert.InRange(await StoreBytesAsync(channel), 50_000, 50_000_000);
        await server.CutAsync();
        Assert.Equal(0, await StoreBytesAsync(channel));

        V1.PushResponse kept = await PushAsync(channel, 21, 30);

        Assert.Equal(50UL, Assert.Single(kept.Durable.Ranges).Last);
        Assert.Equal(StatusCode.Unavailable, (await Assert.ThrowsAsync<RpcException>(() => CountAsync(channel))).StatusCode);
        await server.ResumeAsync();
        await UntilAsync(channel, 50);
    }

    [Fact]
    public async Task Start_WhileTheDatabaseIsAway_TakesReportsAndAnswersWhenItIsBack()
    {
        Assert.SkipWhen(PostgresServer.Programs is null, PostgresServer.Missing);
        await using PostgresServer server = await PostgresServer.StartAsync();
        await server.CutAsync();
        await using TestHub hub = await TestHub.StartAsync(change: On(server));
        using GrpcChannel channel = GrpcChannel.ForAddress(hub.Address);

        Assert.Equal(10u, (await PushAsync(channel, 1, 10)).Added);

        await server.ResumeAsync();
        await UntilAsync(channel, 10);
    }

    [Fact]
    public async Task Restart_OfAHub_GoesOnFromTheDatabase()
    {
        Assert.SkipWhen(PostgresServer.Programs is null, PostgresServer.Missing);
        await using PostgresServer server = await PostgresServer.StartAsync();
        DirectoryInfo folder = Directory.CreateTempSubdirectory("kitmesh-hub-");
        for (ulong run = 0; run < 3; run++)
        {
            await using TestHub hub = await TestHub.StartAsync(folder.FullName, On(server));
            using GrpcChannel channel = GrpcChannel.ForAddress(hub.Address);
            await PushAsync(channel, (run * 10) + 1, 10);
            Assert.Equal((int)((run + 1) * 10), await CountAsync(channel));
        }

        folder.Delete(recursive: true);
    }

    [Fact]
    public async Task Push_TheSameToTwoHubsOfOneDatabase_BothAnswerAndNothingCountsTwice()
    {
        Assert.SkipWhen(PostgresServer.Programs is null, PostgresServer.Missing);
        await using PostgresServer server = await PostgresServer.StartAsync();
        await using TestHub one = await TestHub.StartAsync(change: On(server));
        await using TestHub two = await TestHub.StartAsync(change: options => On(server)(options) with { Node = NodeId.Parse("camp-2") });
        using GrpcChannel first = GrpcChannel.ForAddress(one.Address);
        using GrpcChannel second = GrpcChannel.ForAddress(two.Address);

        await Task.WhenAll(PushAsync(first, 1, 30), PushAsync(second, 11, 30));

        await UntilAsync(first, 40);
        await UntilAsync(second, 40);
        await Task.WhenAll(one.Application.WhenCaughtUpAsync(Cancel), two.Application.WhenCaughtUpAsync(Cancel));
        Assert.Equal(40L, await server.AskAsync($"SELECT count(*) FROM trip.report WHERE kind = {(int)ReportKind.BatteryReading}"));
        Assert.Equal(40m, await server.AskAsync($"SELECT sum(reports) FROM trip.kind_count WHERE kind = {(int)ReportKind.BatteryReading}"));
    }

    [Fact]
    public async Task Start_TablesOfANewerVersion_RefusedInWords()
    {
        Assert.SkipWhen(PostgresServer.Programs is null, PostgresServer.Missing);
        await using PostgresServer server = await PostgresServer.StartAsync();
        await (await PostgresReportStore.OpenAsync(server.Options("trip"), ReportCodec.Decode, Cancel)).DisposeAsync();
        await server.RunAsync("INSERT INTO trip.schema_version (version) VALUES (999)");

        HubStartException refused = await Assert.ThrowsAsync<HubStartException>(() => TestHub.StartAsync(change: On(server)));

        Assert.Contains("update this one", refused.Message, StringComparison.Ordinal);
        CheckLine line = await CheckAsync(server.Address("trip"));
        Assert.Equal(CheckOutcome.Wrong, line.Outcome);
        Assert.Contains("version 999", line.Words, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Check_Database_SaysWhatAStartWouldFindAndChangesNothing()
    {
        Assert.SkipWhen(PostgresServer.Programs is null, PostgresServer.Missing);
        await using PostgresServer server = await PostgresServer.StartAsync();

        CheckLine fresh = await CheckAsync(server.Address("trip"));
        CheckLine poor = await CheckAsync(server.Address("trip", user: "poor"));
        CheckLine barred = await CheckAsync(server.Address("trip", user: "barred"));
        Assert.False((bool)(await server.AskAsync("SELECT to_regnamespace('trip') IS NOT NULL"))!);
        await (await PostgresReportStore.OpenAsync(server.Options("trip"), ReportCodec.Decode, Cancel)).DisposeAsync();
        CheckLine made = await CheckAsync(server.Address("trip"));
        await server.CutAsync();
        CheckLine away = await CheckAsync(server.Address("trip"));

        Assert.Equal((CheckOutcome.Right, CheckOutcome.Wrong, CheckOutcome.Wrong), (fresh.Outcome, poor.Outcome, barred.Outcome));
        Assert.Contains("made at the first start", fresh.Words, StringComparison.Ordinal);
        Assert.Contains("may not make", poor.Words, StringComparison.Ordinal);
        Assert.Contains("does not let this user in", barred.Words, StringComparison.Ordinal);
        Assert.Contains("of version 1", made.Words, StringComparison.Ordinal);
        Assert.Equal(CheckOutcome.Look, away.Outcome);
        Assert.Contains("does not answer", away.Words, StringComparison.Ordinal);
    }

    private static async Task<long> StoreBytesAsync(GrpcChannel channel) =>
        (await new V1.OutlookService.OutlookServiceClient(channel).GetStatusAsync(new V1.GetStatusRequest(), cancellationToken: TestContext.Current.CancellationToken)).StoreBytes;

    private static CancellationToken Cancel => TestContext.Current.CancellationToken;

    private static Func<HubOptions, HubOptions> On(PostgresServer server) =>
        options => options with { Database = server.Address("trip"), StoreRetry = TimeSpan.FromSeconds(1) };

    private static async Task<CheckLine> CheckAsync(PostgresAddress address)
    {
        DirectoryInfo folder = Directory.CreateTempSubdirectory("kitmesh-check-");
        var world = new NodaTime.Testing.FakeClock(Now);
        var options = new HubOptions { DataFolder = folder.FullName, Listen = new Uri("http://127.0.0.1:0"), Database = address };
        IReadOnlyList<CheckLine> lines = await HubSelfTest.RunAsync(options, new HubClocks(world, TimeProvider.System, null!), Cancel);
        folder.Delete(recursive: true);
        return lines.Single(line => line.Check == "store");
    }

    private async Task<V1.PushResponse> PushAsync(GrpcChannel channel, ulong first, int count)
    {
        var request = new V1.PushRequest { Origin = OriginCodec.Write(_ridge.Origin), FirstSequence = first };
        for (ulong sequence = first; sequence < first + (ulong)count; sequence++)
        {
            request.Encoded.Add(Google.Protobuf.ByteString.CopyFrom(ReportCodec.Encode(_ridge.Battery(sequence, Now + Duration.FromSeconds((long)sequence), 13.1).Timed.Report)));
        }

        return await new V1.MeshService.MeshServiceClient(channel).PushAsync(request, cancellationToken: Cancel);
    }

    private static async Task<int> CountAsync(GrpcChannel channel) =>
        (await new V1.OutlookService.OutlookServiceClient(channel).GetReportsAsync(new V1.GetReportsRequest { Subject = "ridge bank", PageSize = 1_000 }, cancellationToken: Cancel)).Reports.Count;

    /// <summary>Asks until all reports are answered; the hub tries its database once a second.</summary>
    private static async Task UntilAsync(GrpcChannel channel, int count)
    {
        using var patience = new CancellationTokenSource(Patience);
        using var between = new PeriodicTimer(TimeSpan.FromMilliseconds(50));
        while (await between.WaitForNextTickAsync(patience.Token))
        {
            try
            {
                if (await CountAsync(channel) == count)
                {
                    return;
                }
            }
            catch (RpcException still) when (still.StatusCode == StatusCode.Unavailable)
            {
                // Not back yet.
            }
        }
    }
}
