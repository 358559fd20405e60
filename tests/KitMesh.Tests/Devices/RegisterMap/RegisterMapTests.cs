using KitMesh.Devices.Options;
using KitMesh.Devices.RegisterMap;
using KitMesh.Domain.Reports;
using KitMesh.TestKit.Devices;
using KitMesh.Tests.Architecture;
using Microsoft.Extensions.Time.Testing;

namespace KitMesh.Tests.Devices.RegisterMap;

public sealed class RegisterMapTests
{
    [Fact]
    public async Task Poll_ShippedExample_ReadsItsInventedDevice()
    {
        // The invented device of the example: volts at 256, signed current at 257, charge at 258, two probes, 32-bit yield.
        ushort[] holding = [1328, unchecked((ushort)-152), 64, unchecked((ushort)-35), 0x8000, 0, 1234];
        ushort[] input = [365, 52, 0xFFFF];
        await using var server = new ScriptedModbusServer(12, r => Answer(r, r[7] == 3 ? 256 : 16, r[7] == 3 ? holding : input));
        using var folder = new TemporaryFolder();
        string map = SourceTree.PathTo("deploy", "register-maps", "example-controller.yaml");
        await using ReaderBench bench = ReaderBench.Start(
            "register-map",
            $"host: 127.0.0.1\nport: {server.Port}\ntimeout: 5 s\nmap: {map}\nbattery: ridge bank\npanel: ridge panel",
            new FakeTimeProvider(),
            folder.Path);

        BatteryReading battery = await bench.Sink.NextAsync<BatteryReading>();
        PanelReading panel = await bench.Sink.NextAsync<PanelReading>();

        Assert.Equal((13.28, -15.2, 0.64), (Math.Round(battery.Volts!.Value.Value, 9), Math.Round(battery.Amperes!.Value.Value, 9), battery.Charge!.Value.Value));
        Assert.Equal([-3.5], battery.Probes.Select(p => Math.Round(p.Value, 9)));
        Assert.Equal((36.5, 5.2), (panel.Volts!.Value.Value, Math.Round(panel.Amperes!.Value.Value, 9)));
        Assert.Null(panel.Watts);
        Assert.Equal(12340, panel.YieldTotal!.Value.Value);
        Assert.Equal(2, server.Requests.Count);
    }

    [Theory]
    [InlineData("int16", "high-word-first", new[] { 0x8001, 0 }, -32767)]
    [InlineData("uint16", "high-word-first", new[] { 0x8001, 0 }, 32769)]
    [InlineData("int32", "high-word-first", new[] { 0xFFFF, 0xFFFE }, -2)]
    [InlineData("int32", "low-word-first", new[] { 0xFFFE, 0xFFFF }, -2)]
    [InlineData("uint32", "low-word-first", new[] { 2, 1 }, 65538)]
    [InlineData("float32", "high-word-first", new[] { 0x4148, 0x0000 }, 12.5)]
    public void Decode_EachTypeAndOrder_GivesItsNumber(string type, string order, int[] registers, double volts)
    {
        RegisterMapFile map = Parse($"device: d\nregisters: [{{address: 1, type: {type}, order: {order}, meaning: battery volts, unit: V}}]", out _)!;

        Assert.Equal(volts, map.Entries[0].Decode([.. registers.Select(r => (ushort)r)]));
    }

    [Fact]
    public void Decode_NotANumber_IsMissing() =>
        Assert.Null(Parse("device: d\nregisters: [{address: 1, type: float32, meaning: battery volts, unit: V}]", out _)!.Entries[0].Decode([0x7FC0, 0]));

    [Fact]
    public void Decode_FahrenheitAndKelvin_BecomeCelsius()
    {
        RegisterMapFile map = Parse("device: d\nregisters: [{address: 1, type: int16, meaning: battery probe, unit: °F}, {address: 2, type: uint16, scale: 0.1, meaning: battery probe, unit: K}]", out _)!;

        Assert.Equal(-40, map.Entries[0].Decode([unchecked((ushort)-40)])!.Value, 9);
        Assert.Equal(0, map.Entries[1].Decode([2731])!.Value, 0.06);
    }

    [Fact]
    public void Neighbours_GapsAndTables_SplitReads()
    {
        RegisterMapFile map = Parse(
            """
            device: d
            registers:
              - {address: 10, type: uint16, meaning: battery volts, unit: V}
              - {address: 11, type: uint32, meaning: battery watts, unit: W}
              - {address: 14, type: uint16, meaning: battery charge, unit: "%"}
              - {address: 15, type: uint16, meaning: battery probe, unit: °C, table: input}
            """,
            out _)!;

        Assert.Equal([2, 1, 1], RegisterMapReader.Neighbours(map.Entries).Select(r => r.Count));
    }

    [Theory]
    [InlineData("device: d\nregisters:\n  - {address: 1, type: int12, meaning: battery volts, unit: V}", 3, "registers[0].type", "int16")]
    [InlineData("device: d\nregisters:\n  - {address: 70000, type: int16, meaning: battery volts, unit: V}", 3, "registers[0].address", "65535")]
    [InlineData("device: d\nregisters:\n  - {address: 1, type: int16, meaning: bank volts, unit: V}", 3, "registers[0].meaning", "battery volts")]
    [InlineData("device: d\nregisters:\n  - {address: 1, type: int16, meaning: battery volts, unit: A}", 3, "registers[0].unit", "mV")]
    [InlineData("device: d\nregisters:\n  - {address: 1, type: int16, meaning: battery volts, unit: V, colour: red}", 3, "registers[0].colour", "Known keys")]
    [InlineData("device: d\nregisters:\n  - {address: 1, type: int16, meaning: battery volts, unit: V, missing: none}", 3, "registers[0].missing", "0x8000")]
    [InlineData("device: d\nregisters: []", 2, "registers", "List from 1")]
    [InlineData("device: d\nregisters: 7", 2, "registers", "Start each item")]
    [InlineData("device: d\ndevice: e", 2, "", "twice")]
    public void Parse_WrongMap_NamesFileLineKeyAndMend(string text, int line, string key, string mend)
    {
        Assert.Null(Parse(text, out List<OptionProblem> problems));

        OptionProblem problem = problems[0];
        Assert.Equal(("map.yaml", line, key), (problem.File, problem.Line, problem.Key));
        Assert.Contains(mend, problem.Mend, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Poll_OneBlockRefused_FaultsThatPartAndReadsTheRest()
    {
        await using var server = new ScriptedModbusServer(12, r => r[9] == 10
            ? [r[0], r[1], 0, 0, 0, 5, r[6], 3, 2, 0, 130]
            : [r[0], r[1], 0, 0, 0, 3, r[6], 0x83, 2]);
        using var folder = new TemporaryFolder();
        string map = folder.Write("map.yaml", "device: d\nregisters: [{address: 10, type: uint16, scale: 0.1, meaning: battery volts, unit: V}, {address: 90, type: uint16, meaning: battery watts, unit: W}]");
        await using ReaderBench bench = ReaderBench.Start(
            "register-map", $"host: 127.0.0.1\nport: {server.Port}\ntimeout: 5 s\nmap: {map}\nbattery: ridge bank", new FakeTimeProvider(), folder.Path);

        Assert.Contains("register 90", (await bench.Sink.NextAsync<ReaderFault>()).Message, StringComparison.Ordinal);
        Assert.Equal(13, (await bench.Sink.NextAsync<BatteryReading>()).Volts!.Value.Value);
    }

    private static RegisterMapFile? Parse(string text, out List<OptionProblem> problems) => RegisterMapFile.Parse("map.yaml", text, problems = []);

    private static byte[] Answer(byte[] request, int start, ushort[] registers)
    {
        int address = (request[8] << 8) | request[9];
        int count = (request[10] << 8) | request[11];
        byte[] data = [.. Enumerable.Range(address - start, count).SelectMany(i => new[] { (byte)(registers[i] >> 8), (byte)registers[i] })];
        return [request[0], request[1], 0, 0, 0, (byte)(3 + data.Length), request[6], request[7], (byte)data.Length, .. data];
    }
}
