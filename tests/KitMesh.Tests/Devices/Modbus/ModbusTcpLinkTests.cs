using KitMesh.Devices.Modbus;
using KitMesh.TestKit.Devices;

namespace KitMesh.Tests.Devices.Modbus;

/// <summary>Frames after MODBUS Messaging on TCP/IP V1.0b and the application protocol V1.1b3, sound and broken ones.</summary>
public sealed class ModbusTcpLinkTests
{
    private static readonly TimeSpan Short = TimeSpan.FromMilliseconds(250);

    [Fact]
    public async Task Read_SoundAnswer_GivesRegistersAndSendsTheSpecifiedRequest()
    {
        await using var server = new ScriptedModbusServer(12, r => [r[0], r[1], 0, 0, 0, 7, r[6], 3, 4, 0x53, 0x75, 0x6E, 0x53]);
        await using var link = Link(server);

        ModbusAnswer answer = await link.ReadAsync(RegisterTable.Holding, 40000, 2, TestContext.Current.CancellationToken);

        Assert.Equal([0x5375, 0x6E53], Assert.IsType<ModbusAnswer.Registers>(answer).Values);
        Assert.True(server.Requests.TryDequeue(out byte[]? request));
        Assert.Equal(Convert.FromHexString("000100000006010" + "3" + "9C400002"), request);
    }

    [Fact]
    public async Task Read_EachRequest_HasATransactionOfItsOwn()
    {
        await using var server = new ScriptedModbusServer(12, r => [r[0], r[1], 0, 0, 0, 5, r[6], 4, 2, 0, 9]);
        await using var link = Link(server);

        await link.ReadAsync(RegisterTable.Input, 0, 1, TestContext.Current.CancellationToken);
        await link.ReadAsync(RegisterTable.Input, 0, 1, TestContext.Current.CancellationToken);

        Assert.Equal(2, server.Requests.Select(r => (r[0] << 8) | r[1]).Distinct().Count());
    }

    [Fact]
    public async Task Read_Exception_IsRefusedWithItsCode()
    {
        await using var server = new ScriptedModbusServer(12, r => [r[0], r[1], 0, 0, 0, 3, r[6], 0x83, 2]);
        await using var link = Link(server);

        ModbusAnswer answer = await link.ReadAsync(RegisterTable.Holding, 9, 1, TestContext.Current.CancellationToken);

        Assert.Equal(2, Assert.IsType<ModbusAnswer.Refused>(answer).Code);
        Assert.Contains("illegal data address", ModbusAnswer.Complaint(answer), StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("another protocol", "0001" + "0001" + "0005" + "01" + "0302" + "0009")]
    [InlineData("length past the bound", "0001" + "0000" + "FFFF" + "01" + "0302" + "0009")]
    [InlineData("length under the least", "0001" + "0000" + "0001" + "01")]
    [InlineData("another unit", "0001" + "0000" + "0005" + "07" + "0302" + "0009")]
    [InlineData("another function", "0001" + "0000" + "0005" + "01" + "0402" + "0009")]
    [InlineData("byte count of another read", "0001" + "0000" + "0007" + "01" + "0304" + "00090009")]
    [InlineData("byte count that lies", "0001" + "0000" + "0005" + "01" + "0304" + "0009")]
    [InlineData("a web server", "485454502F312E3120343030204261642052657175657374")]
    public async Task Read_Garbage_IsGarbledAndKept(string name, string answerHex)
    {
        await using var server = new ScriptedModbusServer(12, _ => Convert.FromHexString(answerHex));
        await using var link = Link(server);

        ModbusAnswer answer = await link.ReadAsync(RegisterTable.Holding, 0, 1, TestContext.Current.CancellationToken);

        Assert.True(answer is ModbusAnswer.Garbled { Raw.Length: > 0 }, $"{name}: {answer}");
    }

    [Fact]
    public async Task Read_FrameCutByHangUp_IsGarbledAndTheNextReadReconnects()
    {
        int calls = 0;
        await using var server = new ScriptedModbusServer(12, r => ++calls switch
        {
            1 => [r[0], r[1], 0, 0, 0, 5, r[6], 3],
            2 => null,
            _ => [r[0], r[1], 0, 0, 0, 5, r[6], 3, 2, 0, 42],
        });
        await using var link = Link(server);

        ModbusAnswer torn = await link.ReadAsync(RegisterTable.Holding, 0, 1, TestContext.Current.CancellationToken);
        ModbusAnswer hungUp = await link.ReadAsync(RegisterTable.Holding, 0, 1, TestContext.Current.CancellationToken);
        ModbusAnswer sound = await link.ReadAsync(RegisterTable.Holding, 0, 1, TestContext.Current.CancellationToken);

        Assert.Equal(8, Assert.IsType<ModbusAnswer.Silent>(torn).Raw.Length);
        Assert.IsType<ModbusAnswer.Garbled>(hungUp);
        Assert.Equal([42], Assert.IsType<ModbusAnswer.Registers>(sound).Values);
    }

    [Fact]
    public async Task Read_LateAnswerToAnEarlierQuestion_IsReadPast()
    {
        byte[] late = [];
        await using var server = new ScriptedModbusServer(12, r =>
        {
            byte[] answer = [r[0], r[1], 0, 0, 0, 5, r[6], 3, 2, 0, (byte)(late.Length == 0 ? 1 : 2)];
            if (late.Length == 0)
            {
                late = answer;
                return [];
            }

            return [.. late, .. answer];
        });
        await using var link = Link(server);

        ModbusAnswer first = await link.ReadAsync(RegisterTable.Holding, 0, 1, TestContext.Current.CancellationToken);
        ModbusAnswer second = await link.ReadAsync(RegisterTable.Holding, 0, 1, TestContext.Current.CancellationToken);

        Assert.IsType<ModbusAnswer.Silent>(first);
        Assert.Equal([2], Assert.IsType<ModbusAnswer.Registers>(second).Values);
    }

    [Fact]
    public async Task Read_NobodyListens_IsUnreachable()
    {
        int port;
        await using (var server = new ScriptedModbusServer(12, _ => []))
        {
            port = server.Port;
        }

        await using var link = new ModbusTcpLink("127.0.0.1", port, 1, Short, TimeProvider.System);

        Assert.IsType<ModbusAnswer.Unreachable>(await link.ReadAsync(RegisterTable.Holding, 0, 1, TestContext.Current.CancellationToken));
    }

    private static ModbusTcpLink Link(ScriptedModbusServer server) => new("127.0.0.1", server.Port, 1, Short, TimeProvider.System);
}
