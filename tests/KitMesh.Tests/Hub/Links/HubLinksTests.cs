using System.Collections.Concurrent;
using KitMesh.Domain.Exchange;
using KitMesh.Domain.Reports;
using KitMesh.Storage;
using KitMesh.Sync.Journal;
using KitMesh.TestKit.Hub;
using KitMesh.TestKit.Storage;
using Microsoft.Extensions.Logging;
using NodaTime;

namespace KitMesh.Tests.Hub.Links;

/// <summary>Hubs that dial each other over the real stream.</summary>
public sealed class HubLinksTests
{
    private static readonly Instant Now = Instant.FromUtc(2027, 2, 21, 18, 0);

    [Fact]
    public async Task ThreeHubsInALoop_ReportsAtEach_AllHoldAllOfThem()
    {
        await using TestHub camp = await StartAsync("base-camp");
        await using TestHub ridge = await StartAsync("ridge-hub", camp.Address);
        await using TestHub hide = await StartAsync("hide-hub", camp.Address, ridge.Address);
        TestHub[] hubs = [camp, ridge, hide];
        OriginId[] origins = [.. await Task.WhenAll(hubs.Select((hub, i) => FillAsync(hub, $"agent-{i}", 1, 500)))];

        await UntilAsync(hubs, hub => origins.All(origin => PrefixOf(hub, origin) == 500));

        // News that is written while the links stand travels too, and over the shorter way or the longer one only once.
        await FillAsync(hide, "agent-2", 501, 500);
        await UntilAsync(hubs, hub => PrefixOf(hub, origins[2]) == 1_000);
        await Task.WhenAll(hubs.Select(hub => hub.Application.WhenCaughtUpAsync(Cancel)));
        Assert.All(hubs, hub => Assert.Equal(2_000, hub.Application.Core.View.Now.State.Counts[ReportKind.TemperatureReading]));
    }

    [Fact]
    public async Task Hub_AwayForAWhile_CatchesUpWithWhatIsMissing()
    {
        string folder = Directory.CreateTempSubdirectory("kitmesh-hub-").FullName;
        try
        {
            await using TestHub camp = await StartAsync("base-camp");
            OriginId origin;
            await using (TestHub ridge = await StartAsync("ridge-hub", folder, camp.Address))
            {
                origin = await FillAsync(ridge, "ridge-agent", 1, 300);
                await UntilAsync([camp], hub => PrefixOf(hub, origin) == 300);
            }

            await using (TestHub alone = await StartAsync("ridge-hub", folder))
            {
                await FillAsync(alone, "ridge-agent", 301, 700);
            }

            Assert.Equal(300UL, PrefixOf(camp, origin));
            await using TestHub back = await StartAsync("ridge-hub", folder, camp.Address);
            await UntilAsync([camp], hub => PrefixOf(hub, origin) == 1_000);
        }
        finally
        {
            Directory.Delete(folder, recursive: true);
        }
    }

    [Fact]
    public async Task Hub_WhoseOtherHubStartsLater_StopsAtOnceAllTheSame()
    {
        // Nobody listens on the discard port; what counts is that a hub that cannot reach anybody works and stops.
        await using TestHub hub = await StartAsync("ridge-hub", new Uri("http://127.0.0.1:9"));

        OriginId origin = await FillAsync(hub, "ridge-agent", 1, 10);

        Assert.Equal(10UL, PrefixOf(hub, origin));
    }

    [Fact]
    public async Task TwoHubs_ThatCompareWhileTheyStillMerge_DoNotCallEachOtherFaulty()
    {
        var lines = new ConcurrentQueue<string>();
        void Logging(ILoggingBuilder logging) => logging.SetMinimumLevel(LogLevel.Information).AddProvider(new Lines(lines));
        for (int round = 0; round < 3; round++)
        {
            await using TestHub camp = await TestHub.StartAsync(null, options => options with { Node = NodeId.Parse("base-camp") }, Now, Logging);
            OriginId origin = await FillAsync(camp, "camp-agent", 1, 4_000);
            await using TestHub ridge = await TestHub.StartAsync(null, options => options with { Node = NodeId.Parse("ridge-hub"), Hubs = [camp.Address] }, Now, Logging);
            await UntilAsync([ridge], hub => PrefixOf(hub, origin) == 4_000);
            await Task.WhenAll(camp.Application.WhenCaughtUpAsync(Cancel), ridge.Application.WhenCaughtUpAsync(Cancel));
        }

        Assert.Contains(lines, line => line.Contains("reports are exchanged", StringComparison.Ordinal));
        Assert.DoesNotContain(lines, line => line.Contains("derive another state", StringComparison.Ordinal));
    }

    private static CancellationToken Cancel => TestContext.Current.CancellationToken;

    private static Task<TestHub> StartAsync(string node, params Uri[] hubs) => StartAsync(node, null, hubs);

    private static Task<TestHub> StartAsync(string node, string? folder, params Uri[] hubs) =>
        TestHub.StartAsync(folder, options => options with { Node = NodeId.Parse(node), Hubs = hubs }, Now);

    private static async Task<OriginId> FillAsync(TestHub hub, string agent, int first, int count)
    {
        var maker = new ReportMaker(agent, 9);
        RawReport[] reports = [.. Enumerable.Range(first, count).Select(i => maker.Temperature((ulong)i, Now + Duration.FromSeconds(i), -10).Raw)];
        Assert.IsType<AppendResult.Durable>(await hub.Application.Core.Intake.AppendAsync(reports, Cancel));
        return maker.Origin;
    }

    private static ulong PrefixOf(TestHub hub, OriginId origin) => hub.Application.Core.Journal.Have(origin)?.Ranges.PrefixEnd ?? 0;

    private static async Task UntilAsync(IReadOnlyList<TestHub> hubs, Func<TestHub, bool> isThere)
    {
        using var patience = CancellationTokenSource.CreateLinkedTokenSource(Cancel);
        patience.CancelAfter(TimeSpan.FromMinutes(3));
        using var look = new PeriodicTimer(TimeSpan.FromMilliseconds(50));
        while (!hubs.All(isThere))
        {
            await look.WaitForNextTickAsync(patience.Token);
        }
    }

    private sealed class Lines(ConcurrentQueue<string> lines) : ILoggerProvider, ILogger
    {
        public ILogger CreateLogger(string categoryName) => this;

        public IDisposable? BeginScope<TState>(TState state)
            where TState : notnull => null;

        public bool IsEnabled(LogLevel logLevel) => true;

        public void Log<TState>(LogLevel logLevel, EventId eventId, TState state, Exception? exception, Func<TState, Exception?, string> formatter) =>
            lines.Enqueue(formatter(state, exception));

        public void Dispose()
        {
        }
    }
}
