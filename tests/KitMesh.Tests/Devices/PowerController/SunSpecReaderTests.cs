using KitMesh.Domain.Reports;
using KitMesh.TestKit.Devices;
using Microsoft.Extensions.Time.Testing;

namespace KitMesh.Tests.Devices.PowerController;

/// <summary>Offsets, sentinels and scale factors after the SunSpec model definitions 1, 160, 714, 802 and 64111.</summary>
public sealed class SunSpecReaderTests
{
    private const int NotInt16 = 0x8000;
    private const int NotUint16 = 0xFFFF;

    [Theory]
    [InlineData(40000)]
    [InlineData(0)]
    [InlineData(50000)]
    public async Task Walk_MarkerAtEachPublishedPlace_IsFound(int place)
    {
        await using var run = Run(new SunSpecDevice(place).Model(1, 65).Model(802, 62, Battery()).End(), "battery: ridge bank");

        Assert.Equal(13.42, (await run.Bench.Sink.NextAsync<BatteryReading>()).Volts!.Value.Value);
    }

    [Fact]
    public async Task Walk_UnknownAndOddLongModels_AreSteppedOverByLength()
    {
        SunSpecDevice device = new SunSpecDevice(40000)
            .Model(1, 66)
            .Model(64999, 301)
            .Model(63001, 0)
            .Model(122, 44)
            .Model(802, 62, Battery())
            .End();
        await using var run = Run(device, "battery: ridge bank");

        Assert.Equal(13.42, (await run.Bench.Sink.NextAsync<BatteryReading>()).Volts!.Value.Value);
    }

    [Fact]
    public async Task Battery_EveryPoint_IsScaledByItsOwnFactor()
    {
        await using var run = Run(
            new SunSpecDevice(40000).Model(802, 62, [.. Battery(), (37, 3361), (40, 3348)]).End(),
            "battery: ridge bank");

        BatteryReading reading = await run.Bench.Sink.NextAsync<BatteryReading>();

        Assert.Equal(13.42, reading.Volts!.Value.Value);
        Assert.Equal(12.5, reading.Amperes!.Value.Value);
        Assert.Equal(168, reading.Watts!.Value.Value);
        Assert.Equal(0.64, reading.Charge!.Value.Value);
        Assert.Equal(3.348, reading.LowestCell!.Value.Value);
        Assert.Equal(3.361, reading.HighestCell!.Value.Value);
    }

    [Theory]
    [InlineData(34, NotUint16)]
    [InlineData(59, NotInt16)]
    [InlineData(59, 11)]
    [InlineData(59, -11)]
    public async Task Battery_VoltsOrTheirFactorNotUsable_LeavesVoltsOutAndKeepsTheRest(int offset, int value)
    {
        await using var run = Run(new SunSpecDevice(40000).Model(802, 62, [.. Battery(), (offset, value)]).End(), "battery: ridge bank");

        BatteryReading reading = await run.Bench.Sink.NextAsync<BatteryReading>();

        Assert.Null(reading.Volts);
        Assert.Equal(0.64, reading.Charge!.Value.Value);
    }

    [Theory]
    [InlineData(4, 125, 12.5)]
    [InlineData(4, -125, 12.5)]
    [InlineData(3, 125, -12.5)]
    [InlineData(3, -125, -12.5)]
    public async Task Battery_SignOfCurrent_ComesFromTheChargeState(int state, int raw, double amperes)
    {
        await using var run = Run(new SunSpecDevice(40000).Model(802, 62, [.. Battery(), (16, state), (44, raw)]).End(), "battery: ridge bank");

        Assert.Equal(amperes, (await run.Bench.Sink.NextAsync<BatteryReading>()).Amperes!.Value.Value);
    }

    [Theory]
    [InlineData(6)]
    [InlineData(NotUint16)]
    public async Task Battery_StateTellsNoDirection_CurrentIsLeftOutAndSaid(int state)
    {
        await using var run = Run(new SunSpecDevice(40000).Model(802, 62, [.. Battery(), (16, state)]).End(), "battery: ridge bank");

        ReaderFault fault = await run.Bench.Sink.NextAsync<ReaderFault>();

        Assert.Contains("currentSign", fault.Message, StringComparison.Ordinal);
        Assert.Null((await run.Bench.Sink.NextAsync<BatteryReading>()).Amperes);
    }

    [Fact]
    public async Task Battery_SignGivenByTheUser_IsTaken()
    {
        await using var run = Run(
            new SunSpecDevice(40000).Model(802, 62, [.. Battery(), (16, 6)]).End(),
            "battery: ridge bank\ncurrentSign: discharge-positive");

        Assert.Equal(-12.5, (await run.Bench.Sink.NextAsync<BatteryReading>()).Amperes!.Value.Value);
    }

    [Fact]
    public async Task Trackers_RepeatingGroup_GivesOnePanelEach()
    {
        // 160: factors at 2 to 5, count at 8, modules of 20 registers from 10; DCA 19, DCV 20, DCW 21, DCWH 22 (acc32).
        SunSpecDevice device = new SunSpecDevice(40000)
            .Model(160, 48, (2, -2), (3, -1), (4, 0), (5, 1), (8, 2),
                (19, 512), (20, 365), (21, 187), (22, 1), (23, 2),
                (39, NotUint16), (40, 362), (41, 0), (42, 0), (43, 0))
            .End();
        await using var run = Run(device, "panel: [east panel, west panel]");

        PanelReading east = await run.Bench.Sink.NextAsync<PanelReading>();
        PanelReading west = await run.Bench.Sink.NextAsync<PanelReading>();

        Assert.Equal(("east panel", 5.12, 36.5, 187d, 655_380d), (east.Panel.Value, east.Amperes!.Value.Value, east.Volts!.Value.Value, east.Watts!.Value.Value, east.YieldTotal!.Value.Value));
        Assert.Equal("west panel", west.Panel.Value);
        Assert.Null(west.Amperes);
        Assert.Equal(36.2, west.Volts!.Value.Value);
        Assert.Null(west.YieldTotal);
    }

    [Fact]
    public async Task Ports_PhotovoltaicAndStorage_AreToldApartByType()
    {
        // 714: count at 4, factors DCA 15, DCV 16, DCW 17, DCWH 18, Tmp 19; ports of 25 registers from 20.
        SunSpecDevice device = new SunSpecDevice(40000)
            .Model(714, 18 + 50, (4, 2), (15, -1), (16, -1), (17, 0), (18, 0), (19, -1),
                (20, 0), (30, 52), (31, 365), (32, 190), (36, 4000),
                (45, 1), (55, -40), (56, 132), (57, -53), (66, -45))
            .End();
        await using var run = Run(device, "panel: ridge panel\nbattery: ridge bank\ncurrentSign: discharge-positive");

        BatteryReading battery = await run.Bench.Sink.NextAsync<BatteryReading>();
        PanelReading panel = await run.Bench.Sink.NextAsync<PanelReading>();

        Assert.Equal((4.0, 13.2, 53d, -4.5), (battery.Amperes!.Value.Value, battery.Volts!.Value.Value, battery.Watts!.Value.Value, battery.ColdestProbe!.Value.Value));
        Assert.Equal((5.2, 36.5, 190d, 4000d), (panel.Amperes!.Value.Value, panel.Volts!.Value.Value, panel.Watts!.Value.Value, panel.YieldTotal!.Value.Value));
    }

    [Fact]
    public async Task Controller_InputCurrentAsPublished_UsesThePowerFactor()
    {
        // 64111 as published: InputA has P_SF. 36.0 V x 5 A = 180 W in, 175 W out.
        await using var run = Run(Controller(inputA: 5, powerFactor: 0, currentFactor: -1, watts: 175), "panel: ridge panel\nbattery: ridge bank");

        PanelReading panel = await run.Bench.Sink.NextAsync<PanelReading>();

        Assert.Equal(5, panel.Amperes!.Value.Value);
        Assert.Equal(175, panel.Watts!.Value.Value);
        Assert.Equal(600, panel.YieldTotal!.Value.Value, 9);
    }

    [Fact]
    public async Task Controller_InputCurrentScaledLikeCurrents_IsRecognisedByItsPower()
    {
        await using var run = Run(Controller(inputA: 50, powerFactor: 0, currentFactor: -1, watts: 175), "panel: ridge panel");

        Assert.Equal(5, (await run.Bench.Sink.NextAsync<PanelReading>()).Amperes!.Value.Value);
    }

    [Fact]
    public async Task Controller_InputCurrentThatFitsNothing_IsLeftOutAndSaid()
    {
        await using var run = Run(Controller(inputA: 9000, powerFactor: 0, currentFactor: -1, watts: 175), "panel: ridge panel");

        Assert.Contains("does not fit", (await run.Bench.Sink.NextAsync<ReaderFault>()).Message, StringComparison.Ordinal);
        Assert.Null((await run.Bench.Sink.NextAsync<PanelReading>()).Amperes);
    }

    [Fact]
    public async Task Controller_ThatFeedsLoadsAsWell_GivesNoBatteryCurrent()
    {
        await using var run = Run(Controller(5, 0, -1, 175), "battery: ridge bank\ncontrollerFeedsOnlyBattery: false");

        BatteryReading battery = await run.Bench.Sink.NextAsync<BatteryReading>();

        Assert.Equal(13.3, battery.Volts!.Value.Value);
        Assert.Null(battery.Amperes);
    }

    [Fact]
    public async Task Device_WithoutMarker_IsAFaultAndGoodAgainIsSaid()
    {
        var device = new SunSpecDevice(40000);
        device.Model(802, 62, Battery()).End();
        device.Poke(40000, 0x1234);
        await using var run = Run(device, "battery: ridge bank");

        ReaderFault fault = await run.Bench.Sink.NextAsync<ReaderFault>();
        device.Poke(40000, 0x5375);
        run.Pace.Advance(TimeSpan.FromSeconds(30));
        ReaderFault cleared = await run.Bench.Sink.NextAsync<ReaderFault>();

        Assert.False(fault.Cleared);
        Assert.True(cleared.Cleared);
        Assert.Equal(13.42, (await run.Bench.Sink.NextAsync<BatteryReading>()).Volts!.Value.Value);
    }

    [Fact]
    public async Task Device_SwappedWhileRunning_IsSearchedAnew()
    {
        SunSpecDevice device = new SunSpecDevice(40000).Model(1, 66).Model(802, 62, Battery()).End();
        await using var run = Run(device, "battery: ridge bank");
        await run.Bench.Sink.NextAsync<BatteryReading>();

        // The battery model moves up: where it was is now the end.
        device.Poke(40070, 0xFFFF);
        device.Poke(40071, 0);
        run.Pace.Advance(TimeSpan.FromSeconds(30));

        Assert.Contains("no longer where it was", (await run.Bench.Sink.NextAsync<ReaderFault>()).Message, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Device_WhoseListNeverEnds_IsAFault()
    {
        var device = new SunSpecDevice(40000);
        for (int i = 0; i < 70; i++)
        {
            device.Model(64900, 0);
        }

        await using var run = Run(device, "battery: ridge bank");

        Assert.Contains("no end", (await run.Bench.Sink.NextAsync<ReaderFault>()).Message, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Device_SaysWhoItIs_OnceAsANote()
    {
        SunSpecDevice device = new SunSpecDevice(40000).Model(1, 66, (2, 0x4578), (3, 0x616D), (4, 0x706C), (5, 0x6500), (18, 0x4331)).Model(802, 62, Battery()).End();
        await using var run = Run(device, "battery: ridge bank");

        Assert.Contains("Example C1", (await run.Bench.Sink.NextAsync<Note>()).Text, StringComparison.Ordinal);
        run.Pace.Advance(TimeSpan.FromSeconds(30));
        await run.Bench.Sink.NextAsync<BatteryReading>();
        Assert.DoesNotContain(run.Bench.Sink.TakeAll(), s => s.Body is Note);
    }

    private static (int Offset, int Value)[] Battery() =>
        [(11, 640), (16, 4), (34, 1342), (37, NotUint16), (40, NotUint16), (44, 125), (47, 168), (56, -1), (59, -2), (60, -3), (61, -1), (63, 0)];

    private static SunSpecDevice Controller(int inputA, int powerFactor, int currentFactor, int watts) =>
        new SunSpecDevice(40000)
            .Model(64111, 23, (3, -1), (4, currentFactor), (5, powerFactor), (6, 0), (7, -1), (8, 133), (9, 360), (10, 131), (11, inputA), (12, 2), (13, watts), (18, 6))
            .End();

    private static SunSpecRun Run(SunSpecDevice device, string yaml) => new(device, yaml);

    private sealed class SunSpecRun : IAsyncDisposable
    {
        private readonly ScriptedModbusServer _server;
        private readonly TemporaryFolder _folder = new();

        public SunSpecRun(SunSpecDevice device, string yaml)
        {
            _server = new ScriptedModbusServer(12, device.Answer);
            Bench = ReaderBench.Start("sunspec", $"host: 127.0.0.1\nport: {_server.Port}\ninterval: 30 s\ntimeout: 5 s\n{yaml}", Pace, _folder.Path);
        }

        public FakeTimeProvider Pace { get; } = new();

        public ReaderBench Bench { get; }

        public async ValueTask DisposeAsync()
        {
            await Bench.DisposeAsync();
            await _server.DisposeAsync();
            _folder.Dispose();
        }
    }
}
