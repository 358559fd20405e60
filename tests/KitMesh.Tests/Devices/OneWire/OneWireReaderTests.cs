using KitMesh.Domain.Reports;
using KitMesh.TestKit.Devices;
using Microsoft.Extensions.Time.Testing;

namespace KitMesh.Tests.Devices.OneWire;

public sealed class OneWireReaderTests
{
    private const string Good = "72 01 4b 46 7f ff 0e 10 57 : crc=57 YES\n72 01 4b 46 7f ff 0e 10 57 t=23125\n";
    private const string Cold = "5e ff 4b 46 7f ff 0c 10 6a : crc=6a YES\n5e ff 4b 46 7f ff 0c 10 6a t=-10125\n";
    private const string Torn = "72 01 4b 46 7f ff 0e 10 58 : crc=58 NO\n72 01 4b 46 7f ff 0e 10 57 t=23125\n";

    [Fact]
    public async Task Poll_TwoProbesOfOnePack_GiveOneReadingWithBoth()
    {
        using var folder = new TemporaryFolder();
        folder.Write("w1/28-01/w1_slave", Good);
        folder.Write("w1/28-02/w1_slave", Cold);
        await using ReaderBench bench = Start(folder, new FakeTimeProvider());

        BatteryReading reading = await bench.Sink.NextAsync<BatteryReading>();

        Assert.Equal([23.125, -10.125], reading.Probes.Select(p => p.Value));
        Assert.Equal(-10.125, reading.ColdestProbe!.Value.Value);
    }

    [Fact]
    public async Task Poll_CrcFails_ReportsAFaultWithTheBytesAndNoTemperature()
    {
        using var folder = new TemporaryFolder();
        var pace = new FakeTimeProvider();
        folder.Write("w1/28-01/w1_slave", Good);
        folder.Write("w1/28-02/w1_slave", Torn);
        await using ReaderBench bench = Start(folder, pace);

        ReaderFault fault = await bench.Sink.NextAsync<ReaderFault>();
        BatteryReading reading = await bench.Sink.NextAsync<BatteryReading>();
        folder.Write("w1/28-02/w1_slave", Cold);
        pace.Advance(TimeSpan.FromMinutes(1));
        ReaderFault cleared = await bench.Sink.NextAsync<ReaderFault>();

        Assert.False(fault.Cleared);
        Assert.NotEmpty(fault.Raw);
        Assert.Single(reading.Probes);
        Assert.True(cleared.Cleared);
    }

    [Fact]
    public async Task Poll_SensorGone_IsAFaultOnceNotAtEachPoll()
    {
        using var folder = new TemporaryFolder();
        var pace = new FakeTimeProvider();
        folder.Write("w1/28-01/w1_slave", Good);
        await using ReaderBench bench = Start(folder, pace);

        Assert.Contains("not on the bus", (await bench.Sink.NextAsync<ReaderFault>()).Message, StringComparison.Ordinal);
        await bench.Sink.NextAsync<BatteryReading>();
        pace.Advance(TimeSpan.FromMinutes(1));
        await bench.Sink.NextAsync<BatteryReading>();

        Assert.Empty(bench.Sink.TakeAll());
        Assert.Equal(2, bench.WakeUps);
    }

    private static ReaderBench Start(TemporaryFolder folder, TimeProvider pace) => ReaderBench.Start(
        "one-wire",
        $$"""
        root: {{folder.At("w1")}}
        sensors:
          - device: 28-01
            battery: ridge bank
          - device: 28-02
            battery: ridge bank
        """,
        pace,
        folder.At("state"));
}
