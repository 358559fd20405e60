using System.Net.Sockets;
using KitMesh.Demo;
using KitMesh.Demo.Devices;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Reports;
using KitMesh.TripFile;

namespace KitMesh.Tests.Demo;

public sealed class ModbusTcpServerTests
{
    [Fact]
    public async Task Answer_OverASocket_FollowsTheMessagingGuide()
    {
        await using var server = new ModbusTcpServer(40000, () => [0x5375, 0x6E53, 7]);
        using var client = new TcpClient();
        await client.ConnectAsync("127.0.0.1", server.Port, TestContext.Current.CancellationToken);
        NetworkStream stream = client.GetStream();

        Assert.Equal([0, 9, 0, 0, 0, 7, 1, 3, 4, 0x53, 0x75, 0x6E, 0x53], await AskAsync(stream, [0, 9, 0, 0, 0, 6, 1, 3, 0x9C, 0x40, 0, 2], 13));
        Assert.Equal([0, 10, 0, 0, 0, 3, 1, 0x83, 2], await AskAsync(stream, [0, 10, 0, 0, 0, 6, 1, 3, 0x9C, 0x40, 0, 4], 9));
        Assert.Equal([0, 11, 0, 0, 0, 3, 1, 0x83, 3], await AskAsync(stream, [0, 11, 0, 0, 0, 6, 1, 3, 0x9C, 0x40, 0, 126], 9));
        Assert.Equal([0, 12, 0, 0, 0, 3, 1, 0x86, 1], await AskAsync(stream, [0, 12, 0, 0, 0, 6, 1, 6, 0x9C, 0x40, 0, 1], 9));
    }

    /// <summary>SunSpec: models are walked by length from the marker to 0xFFFF; model 160 has 8 registers and 20 a module, 802 has 62.</summary>
    [Fact]
    public void Registers_WalkedByLength_GiveTheModelsAndTheEnd()
    {
        var kit = ((TripRead)TripFileReader.Read("trip.yaml", DemoTrip.Text())).Items;
        string folder = Directory.CreateTempSubdirectory("kitmesh-modbus-test").FullName;
        var world = new DemoWorld(kit, 1, folder);
        ushort[] registers = world.Look(KitId.Parse("base bank"), world.Scene.At(world.Scene.Trip.FirstDay.PlusDays(2), 12.5), ChargeControllerMap.Registers);

        List<(int Id, int Length)> models = [];
        int at = 2;
        while (registers[at] != 0xFFFF)
        {
            models.Add((registers[at], registers[at + 1]));
            at += 2 + registers[at + 1];
        }

        Assert.Equal([(1, 66), (160, 48), (64998, 5), (802, 62)], models);
        Assert.Equal(registers.Length, at + 2);
        Directory.Delete(folder, recursive: true);
    }

    /// <summary>Dallas/Maxim application note 27: the CRC of 02 1C B8 01 00 00 00 is A2 (from memory, not a gate for others).</summary>
    [Fact]
    public void Crc8_NoteExample_IsRight() => Assert.Equal(0xA2, SysfsTree.Crc8([0x02, 0x1C, 0xB8, 0x01, 0, 0, 0]));

    private static async Task<byte[]> AskAsync(NetworkStream stream, byte[] request, int answerBytes)
    {
        await stream.WriteAsync(request, TestContext.Current.CancellationToken);
        byte[] answer = new byte[answerBytes];
        await stream.ReadExactlyAsync(answer, TestContext.Current.CancellationToken);
        return answer;
    }
}
