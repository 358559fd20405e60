using KitMesh.Agent;
using KitMesh.Agent.Options;
using KitMesh.Domain.Reports;
using KitMesh.TestKit.Agent;
using KitMesh.TestKit.Alerts;
using KitMesh.TestKit.Devices;
using NodaTime;

namespace KitMesh.Tests.Agent;

/// <summary>A whole agent without a hub: readers, guard, deadbands, outbox and journal.</summary>
public sealed class AgentHostTests : IDisposable
{
    // "The reader runs" goes before its first sample.
    private const int Started = 1;

    private readonly TemporaryFolder _folder = new();
    private readonly ScriptedReader _reader = new();

    public void Dispose() => _folder.Dispose();

    [Fact]
    public async Task Guard_ColdChargeInTheFirstReading_IsJournalledWithoutWaitingAndWithoutHub()
    {
        await using AgentBench bench = await AgentBench.StartAsync(AgentBench.Options(_folder.Path, _reader, packs: [PackScene.Pack()]), _reader);

        _reader.Read(PackScene.Reading(volts: 13.4, amperes: 6, probes: [8, -2]));
        await AgentBench.UntilAsync(() => bench.Journalled<AlertChanged>().Count > 0);

        AlertChanged alert = Assert.Single(bench.Journalled<AlertChanged>());
        Assert.Equal(("charging-too-cold", true), (alert.Rule, alert.Raised));
        Assert.Single(bench.Journalled<BatteryReading>());
        Assert.Contains(bench.Said, s => s.StartsWith("ALERT charging-too-cold", StringComparison.Ordinal));
    }

    [Fact]
    public async Task Guard_SeesWhatDeadbandsHoldBack()
    {
        DeadbandOptions wide = DeadbandOptions.Default with { Temperature = new(5), Amperes = new(5), Volts = new(5), Watts = new(500) };
        await using AgentBench bench = await AgentBench.StartAsync(AgentBench.Options(_folder.Path, _reader, packs: [PackScene.Pack()]) with { Deadbands = wide }, _reader);

        _reader.Read(PackScene.Reading(volts: 13.4, amperes: 2, probes: 4));
        _reader.Read(PackScene.Reading(volts: 13.4, amperes: 2, probes: 3));
        _reader.Read(PackScene.Reading(volts: 13.4, amperes: 2, probes: 1));
        await AgentBench.UntilAsync(() => bench.Journalled<AlertChanged>().Count > 0);

        // The first reading, and the one that raised the alert; the one between stayed inside the band.
        Assert.Equal([4, 1], bench.Journalled<BatteryReading>().Select(r => r.ColdestProbe!.Value.Value));
    }

    [Fact]
    public async Task Guard_CurrentAndTemperatureFromTwoDevices_AreJudgedTogetherAndClear()
    {
        await using AgentBench bench = await AgentBench.StartAsync(AgentBench.Options(_folder.Path, _reader, packs: [PackScene.Pack()]), _reader);

        _reader.Read(PackScene.Reading(probes: -8));
        _reader.Read(PackScene.Reading(volts: 13.3, amperes: 4));
        await AgentBench.UntilAsync(() => bench.Host.Standing.Count == 1);
        _reader.Read(PackScene.Reading(volts: 13.3, amperes: 0));
        await AgentBench.UntilAsync(() => bench.Journalled<AlertChanged>().Count == 2);

        Assert.Equal([true, false], bench.Journalled<AlertChanged>().Select(a => a.Raised));
        Assert.Empty(bench.Host.Standing);
    }

    [Fact]
    public async Task Readings_WaitForOthers_AndGoInOneBatchAfterTheWait()
    {
        await using AgentBench bench = await AgentBench.StartAsync(AgentBench.Options(_folder.Path, _reader), _reader);
        for (int i = 0; i < 10; i++)
        {
            _reader.Read(PackScene.Reading(volts: 13 + (i * 0.1)));
        }

        await AgentBench.UntilAsync(() => bench.Host.Counters.Samples == 10 + Started);
        Assert.Empty(bench.Reports());
        await AgentBench.UntilAsync(() =>
        {
            bench.Pace.Advance(TimeSpan.FromSeconds(10));
            return bench.Journalled<BatteryReading>().Count == 10;
        });
    }

    [Fact]
    public async Task Readings_ThatRepeat_AreReportedOnceAndAgainAfterTheLongestSilence()
    {
        await using AgentBench bench = await AgentBench.StartAsync(AgentBench.Options(_folder.Path, _reader) with { SendWait = TimeSpan.Zero }, _reader);

        for (int i = 0; i < 30; i++)
        {
            _reader.Read(PackScene.Reading(volts: 13.2, probes: 12));
        }

        await AgentBench.UntilAsync(() => bench.Host.Counters.Samples == 30 + Started);
        bench.Clock.Advance(Duration.FromMinutes(11));
        _reader.Read(PackScene.Reading(volts: 13.2, probes: 12));
        await AgentBench.UntilAsync(() => bench.Journalled<BatteryReading>().Count == 2);

        Assert.Equal(31 + Started, bench.Host.Counters.Samples);
    }

    [Fact]
    public async Task Reader_ThatBreaks_IsReportedAndMadeAnewWhileTheAgentGoesOn()
    {
        await using AgentBench bench = await AgentBench.StartAsync(AgentBench.Options(_folder.Path, _reader) with { SendWait = TimeSpan.Zero }, _reader);

        _reader.Break();
        _reader.Read(PackScene.Reading(volts: 13.2));
        await AgentBench.UntilAsync(() => bench.Journalled<BatteryReading>().Count == 1);

        Assert.Equal(2, _reader.Starts);
        IReadOnlyList<ReaderFault> faults = bench.Journalled<ReaderFault>();
        Assert.Contains("the test broke it", Assert.Single(faults, f => !f.Cleared).Message, StringComparison.Ordinal);
        Assert.True(faults[^1].Cleared);
    }

    [Fact]
    public async Task State_AtStart_TellsWhatItCosts()
    {
        await using AgentBench bench = await AgentBench.StartAsync(AgentBench.Options(_folder.Path, _reader) with { SendWait = TimeSpan.Zero }, _reader);
        await AgentBench.UntilAsync(() => bench.Journalled<AgentState>().Count == 1);

        AgentState state = bench.Journalled<AgentState>()[0];
        Assert.Equal(("ridge-power", "test", 86_400), (state.Node.Value, state.Version, state.NextExpected));
        Assert.True(state.FreeDisk.Value > 0);
    }

    [Fact]
    public async Task Restart_GoesOnInTheSameEpochWithoutAGap()
    {
        AgentOptions options = AgentBench.Options(_folder.Path, _reader) with { SendWait = TimeSpan.Zero };
        OriginId first;
        await using (AgentBench bench = await AgentBench.StartAsync(options, _reader))
        {
            _reader.Read(PackScene.Reading(volts: 13.2));
            await AgentBench.UntilAsync(() => bench.Journalled<BatteryReading>().Count == 1);
            first = bench.Host.Own;
        }

        await using AgentBench again = await AgentBench.StartAsync(options, _reader);
        _reader.Read(PackScene.Reading(volts: 13.0));
        await AgentBench.UntilAsync(() => again.Journalled<BatteryReading>().Count == 2);

        Assert.Equal(first, again.Host.Own);
        IReadOnlyList<Report> reports = again.Reports();
        Assert.Equal(Enumerable.Range(1, reports.Count).Select(i => (ulong)i), reports.Select(r => r.Key.Sequence));
    }

    [Fact]
    public async Task Stop_ReadingsThatStillWait_AreWrittenFirst()
    {
        AgentOptions options = AgentBench.Options(_folder.Path, _reader);
        await using (AgentBench bench = await AgentBench.StartAsync(options, _reader))
        {
            _reader.Read(PackScene.Reading(volts: 13.2));
            await AgentBench.UntilAsync(() => bench.Host.Counters.Samples == 1 + Started);
        }

        await using AgentBench again = await AgentBench.StartAsync(options, new ScriptedReader());
        Assert.Single(again.Journalled<BatteryReading>());
    }

    [Fact]
    public async Task Open_FolderInUse_IsRefusedInWords()
    {
        AgentOptions options = AgentBench.Options(_folder.Path, _reader);
        await using AgentBench bench = await AgentBench.StartAsync(options, _reader);

        var surroundings = new AgentSurroundings(TimeProvider.System, TimeProvider.System, bench.Clock, () => 1, "test", _ => { });
        Assert.Null(AgentHost.Open(options, surroundings, out string? why));
        Assert.Contains("in use", why, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData(1970)]
    [InlineData(2099)]
    public async Task Clock_DeadOrFarAhead_LabelsReportsAndStopsNothing(int year)
    {
        await using AgentBench bench = await AgentBench.StartAsync(
            AgentBench.Options(_folder.Path, _reader, packs: [PackScene.Pack()]) with { SendWait = TimeSpan.Zero }, _reader, Instant.FromUtc(year, 1, 1, 0, 0));

        _reader.Read(PackScene.Reading(amperes: 5, probes: -5));
        await AgentBench.UntilAsync(() => bench.Host.Standing.Count == 1 && bench.Journalled<BatteryReading>().Count == 1);
        bench.Clock.Set(Instant.FromUtc(2027, 2, 14, 18, 0));
        _reader.Read(PackScene.Reading(amperes: 5, probes: -5.5));
        await AgentBench.UntilAsync(() => bench.Journalled<BatteryReading>().Count == 2);

        // Setting the clock by decades made no value look old: the alert stands.
        Assert.Single(bench.Host.Standing);
        Assert.Equal([year, 2027], bench.Reports().Where(r => r.Body is BatteryReading).Select(r => r.Written.Wall.InUtc().Year));
    }
}
