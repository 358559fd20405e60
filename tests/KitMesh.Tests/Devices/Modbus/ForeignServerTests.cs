using KitMesh.Devices.Modbus;
using KitMesh.Domain.Reports;
using KitMesh.TestKit.Devices;

namespace KitMesh.Tests.Devices.Modbus;

/// <summary>The client against a server of another make, on all three kinds of line.</summary>
public sealed class ForeignServerTests
{
    private static readonly Dictionary<int, ushort> Some = Enumerable.Range(0, 125).ToDictionary(i => 100 + i, i => (ushort)(65535 - (i * 3)));

    [Theory]
    [InlineData("tcp")]
    [InlineData("rtu-tcp")]
    [InlineData("serial")]
    public async Task Read_HoldingAndInput_GivesWhatTheServerHolds(string mode)
    {
        if (await ForeignModbusServer.MissingAsync(mode == "serial") is { } missing)
        {
            Assert.Skip(missing);
        }

        await using var server = await ForeignModbusServer.StartAsync(mode, Some, new Dictionary<int, ushort> { [7] = 77, [8] = 88 });
        await using IModbusLink link = Link(mode, server.Where);
        CancellationToken stop = TestContext.Current.CancellationToken;

        ModbusAnswer many = await link.ReadAsync(RegisterTable.Holding, 100, 125, stop);
        ModbusAnswer input = await link.ReadAsync(RegisterTable.Input, 7, 2, stop);
        ModbusAnswer refused = await link.ReadAsync(RegisterTable.Holding, 5000, 1, stop);
        ModbusAnswer again = await link.ReadAsync(RegisterTable.Holding, 101, 1, stop);

        Assert.Equal(Some.Values, Assert.IsType<ModbusAnswer.Registers>(many).Values);
        Assert.Equal([77, 88], Assert.IsType<ModbusAnswer.Registers>(input).Values);
        Assert.Equal(2, Assert.IsType<ModbusAnswer.Refused>(refused).Code);
        Assert.Equal([65532], Assert.IsType<ModbusAnswer.Registers>(again).Values);
    }

    [Fact]
    public async Task SunSpecReader_OverTheForeignServer_ReadsTheBattery()
    {
        if (await ForeignModbusServer.MissingAsync(serial: false) is { } missing)
        {
            Assert.Skip(missing);
        }

        SunSpecDevice device = new SunSpecDevice(40000)
            .Model(1, 66)
            .Model(802, 62, (11, 640), (16, 4), (34, 1342), (44, 125), (47, 168), (56, -1), (59, -2), (61, -1), (63, 0), (60, unchecked((ushort)0x8000)))
            .End();
        await using var server = await ForeignModbusServer.StartAsync("tcp", device.Registers, null);
        using var folder = new TemporaryFolder();
        await using ReaderBench bench = ReaderBench.Start(
            "sunspec", $"host: 127.0.0.1\nport: {server.Where}\ntimeout: 5 s\nbattery: ridge bank", TimeProvider.System, folder.Path);

        BatteryReading reading = await bench.Sink.NextAsync<BatteryReading>();

        Assert.Equal(13.42, reading.Volts!.Value.Value);
        Assert.Equal(12.5, reading.Amperes!.Value.Value);
        Assert.Equal(0.64, reading.Charge!.Value.Value);
    }

    private static IModbusLink Link(string mode, string where)
    {
        string yaml = mode switch
        {
            "tcp" => $"line: tcp\nhost: 127.0.0.1\nport: {where}\ntimeout: 5 s",
            "serial" => $"line: serial\ndevice: {where}\nparity: none\nstopBits: 1\ntimeout: 5 s",
            _ => $"line: serial-over-tcp\nhost: 127.0.0.1\nport: {where}\ntimeout: 5 s",
        };
        var problems = new List<KitMesh.Devices.Options.OptionProblem>();
        KitMesh.Devices.Options.OptionMap map = KitMesh.Devices.Options.OptionMap.Parse("agent.yaml", yaml, problems)!;
        ModbusLinkOptions options = ModbusLinkOptions.Read(map);
        Assert.Empty(problems);
        return options.Open(TimeProvider.System);
    }
}
