using Grpc.Net.Client;
using KitMesh.Agent.Options;
using KitMesh.Domain.Reports;
using KitMesh.TestKit.Agent;
using KitMesh.TestKit.Alerts;
using KitMesh.TestKit.Devices;
using KitMesh.TestKit.Hub;
using V1 = KitMesh.Protocol.V1;

namespace KitMesh.Tests.Agent;

/// <summary>A whole agent and a whole hub, over real sockets.</summary>
public sealed class AgentHubTests : IDisposable
{
    private readonly TemporaryFolder _folder = new();
    private readonly ScriptedReader _reader = new();

    public void Dispose() => _folder.Dispose();

    [Fact]
    public async Task Readings_WithAHub_AreDurableThereAndTheSessionEndsWhenIdle()
    {
        await using TestHub hub = await TestHub.StartAsync();
        await using AgentBench bench = await AgentBench.StartAsync(Options(hub), _reader);

        for (int i = 0; i < 200; i++)
        {
            _reader.Read(PackScene.Reading(volts: 12 + (i * 0.05)));
        }

        await AgentBench.UntilAsync(() => bench.Journalled<BatteryReading>().Count == 200 && bench.Host.ReportsWaiting == 0);

        V1.GetStatusResponse status = await StatusAsync(hub);
        V1.OriginStatus origin = status.Origins.Single(o => o.Origin.Node == "ridge-power");
        V1.SequenceRange range = Assert.Single(origin.Ranges);

        // The agent goes on writing reports of its own (its status, a clock pair), so the hub may lag by those.
        Assert.Equal(1UL, range.First);
        Assert.InRange(range.Last, 200UL, (ulong)bench.Reports().Count);
        Assert.Equal(200UL, status.Kinds.Single(k => k.Kind == nameof(BatteryReading)).Count);
        Assert.True(bench.Host.Counters.BytesSent > 0);
    }

    [Fact]
    public async Task Hub_AwayForLong_GetsEverythingWhenItComesBack()
    {
        string hubFolder = _folder.At("hub");
        int port;
        await using (TestHub first = await TestHub.StartAsync(hubFolder))
        {
            port = first.Address.Port;
        }

        await using AgentBench bench = await AgentBench.StartAsync(Options(new Uri($"http://127.0.0.1:{port}")), _reader);
        for (int i = 0; i < 2_000; i++)
        {
            _reader.Read(PackScene.Reading(volts: 10 + (i * 0.05)));
        }

        await AgentBench.UntilAsync(() => bench.Journalled<BatteryReading>().Count == 2_000);
        Assert.True(bench.Host.ReportsWaiting >= 2_000);
        await using TestHub back = await TestHub.StartAsync(hubFolder, o => o with { Listen = new Uri($"http://127.0.0.1:{port}") });
        await AgentBench.UntilAsync(() => bench.Host.ReportsWaiting == 0);

        V1.GetStatusResponse status = await StatusAsync(back);
        Assert.Equal(2_000UL, status.Kinds.Single(k => k.Kind == nameof(BatteryReading)).Count);
        Assert.Contains(bench.Said, s => s.Contains("kept here and sent later", StringComparison.Ordinal));
    }

    [Fact]
    public async Task FirstHubDead_TheNextOfTheListIsTried()
    {
        await using TestHub alive = await TestHub.StartAsync();
        AgentOptions options = AgentBench.Options(_folder.At("agent"), _reader, [new Uri("http://127.0.0.1:1"), alive.Address]) with { SendWait = TimeSpan.Zero };
        await using AgentBench bench = await AgentBench.StartAsync(options, _reader);

        _reader.Read(PackScene.Reading(volts: 13));
        await AgentBench.UntilAsync(() => bench.Journalled<BatteryReading>().Count == 1 && bench.Host.ReportsWaiting == 0);
    }

    [Fact]
    public async Task RestoredDisk_OpensANewEpochAndLosesNeitherSide()
    {
        await using TestHub hub = await TestHub.StartAsync();
        AgentOptions options = Options(hub);
        OriginId old;
        await using (AgentBench before = await AgentBench.StartAsync(options, _reader))
        {
            _reader.Read(PackScene.Reading(volts: 13.0));
            await AgentBench.UntilAsync(() => before.Journalled<BatteryReading>().Count == 1 && before.Host.ReportsWaiting == 0);
            old = before.Host.Own;
        }

        CopyFolder(_folder.At("agent"), _folder.At("image"));
        await using (AgentBench later = await AgentBench.StartAsync(options, _reader))
        {
            _reader.Read(PackScene.Reading(volts: 12.5));
            await AgentBench.UntilAsync(() => later.Journalled<BatteryReading>().Count == 2 && later.Host.ReportsWaiting == 0);
        }

        Directory.Delete(_folder.At("agent"), recursive: true);
        CopyFolder(_folder.At("image"), _folder.At("agent"));
        await using AgentBench restored = await AgentBench.StartAsync(options, _reader);
        _reader.Read(PackScene.Reading(volts: 12.0));
        await AgentBench.UntilAsync(() => restored.Host.Own != old && restored.Host.ReportsWaiting == 0);
        _reader.Read(PackScene.Reading(volts: 11.5));
        await AgentBench.UntilAsync(() => restored.Journalled<BatteryReading>().Any(r => r.Volts!.Value.Value == 11.5) && restored.Host.ReportsWaiting == 0);

        V1.GetStatusResponse status = await StatusAsync(hub);
        Assert.Equal(2, status.Origins.Count(o => o.Origin.Node == "ridge-power"));
        Assert.Contains(restored.Said, s => s.Contains("restored or re-imaged", StringComparison.Ordinal));
    }

    private static async Task<V1.GetStatusResponse> StatusAsync(TestHub hub)
    {
        using GrpcChannel channel = GrpcChannel.ForAddress(hub.Address);
        var client = new V1.OutlookService.OutlookServiceClient(channel);
        V1.GetStatusResponse status;
        do
        {
            // The view follows the journal by a moment.
            status = await client.GetStatusAsync(new V1.GetStatusRequest(), cancellationToken: TestContext.Current.CancellationToken);
        }
        while (status.Reports < (ulong)status.Origins.Sum(o => o.Ranges.Sum(r => (long)(r.Last - r.First + 1))));
        return status;
    }

    private static void CopyFolder(string from, string to)
    {
        foreach (string file in Directory.EnumerateFiles(from, "*", SearchOption.AllDirectories))
        {
            string target = Path.Combine(to, Path.GetRelativePath(from, file));
            Directory.CreateDirectory(Path.GetDirectoryName(target)!);
            File.Copy(file, target);
        }
    }

    private AgentOptions Options(TestHub hub) => Options(hub.Address);

    private AgentOptions Options(Uri hub) => AgentBench.Options(_folder.At("agent"), _reader, [hub]) with { SendWait = TimeSpan.Zero };
}
