using System.Net.Sockets;
using KitMesh.Devices.Modbus;
using KitMesh.TestKit.Devices;

namespace KitMesh.Tests.Devices.Modbus;

/// <summary>RTU frames after MODBUS over Serial Line V1.02, carried by a socket as serial gateways do.</summary>
public sealed class ModbusRtuLinkTests
{
    [Fact]
    public async Task Read_PublishedExchange_GivesItsRegisters()
    {
        // Request 01 03 9C40 0002 EB8F and answer 01 03 04 5375 6E53 960F: rows of Published/modbus-crc.csv.
        await using var server = new ScriptedModbusServer(8, _ => Convert.FromHexString("01030453756E5396F0"));
        await using var link = Link(server);

        ModbusAnswer answer = await link.ReadAsync(RegisterTable.Holding, 40000, 2, TestContext.Current.CancellationToken);

        Assert.Equal([0x5375, 0x6E53], Assert.IsType<ModbusAnswer.Registers>(answer).Values);
        Assert.True(server.Requests.TryDequeue(out byte[]? request));
        Assert.Equal(Convert.FromHexString("01039C400002EB8F"), request);
    }

    [Fact]
    public async Task Read_ExceptionFrame_IsRefused()
    {
        await using var server = new ScriptedModbusServer(8, _ => WithCrc(0x01, 0x83, 0x02));
        await using var link = Link(server);

        Assert.Equal(2, Assert.IsType<ModbusAnswer.Refused>(await link.ReadAsync(RegisterTable.Holding, 0, 1, TestContext.Current.CancellationToken)).Code);
    }

    [Fact]
    public async Task Read_WrongCrcThenNoise_RecoversOnTheNextRead()
    {
        int calls = 0;
        await using var server = new ScriptedModbusServer(8, _ => ++calls == 1
            ? [0x01, 0x03, 0x02, 0x00, 0x09, 0xDE, 0xAD, 0xFF, 0xFF, 0xFF]
            : WithCrc(0x01, 0x03, 0x02, 0x00, 0x2A));
        await using var link = Link(server);

        ModbusAnswer broken = await link.ReadAsync(RegisterTable.Holding, 0, 1, TestContext.Current.CancellationToken);
        ModbusAnswer sound = await link.ReadAsync(RegisterTable.Holding, 0, 1, TestContext.Current.CancellationToken);

        Assert.Contains("CRC", Assert.IsType<ModbusAnswer.Garbled>(broken).Why, StringComparison.Ordinal);
        Assert.Equal([42], Assert.IsType<ModbusAnswer.Registers>(sound).Values);
    }

    [Fact]
    public async Task Read_HalfAFrame_IsSilentWithThePartThatCame()
    {
        await using var server = new ScriptedModbusServer(8, _ => [0x01, 0x03, 0x02, 0x00]);
        await using var link = Link(server);

        Assert.Equal(4, Assert.IsType<ModbusAnswer.Silent>(await link.ReadAsync(RegisterTable.Holding, 0, 1, TestContext.Current.CancellationToken)).Raw.Length);
    }

    [Fact]
    public async Task Read_AnotherUnitAnswers_IsGarbled()
    {
        await using var server = new ScriptedModbusServer(8, _ => WithCrc(0x05, 0x03, 0x02, 0x00, 0x2A));
        await using var link = Link(server);

        Assert.IsType<ModbusAnswer.Garbled>(await link.ReadAsync(RegisterTable.Holding, 0, 1, TestContext.Current.CancellationToken));
    }

    private static byte[] WithCrc(params byte[] frame)
    {
        ushort crc = ModbusCrc.Of(frame);
        return [.. frame, (byte)crc, (byte)(crc >> 8)];
    }

    private static ModbusRtuLink Link(ScriptedModbusServer server) => new(
        "gateway",
        async stop =>
        {
            var client = new TcpClient();
            await client.ConnectAsync("127.0.0.1", server.Port, stop);
            return client.GetStream();
        },
        1,
        TimeSpan.FromMilliseconds(250),
        TimeSpan.FromMilliseconds(20),
        TimeProvider.System);
}
