using System.IO.Ports;
using System.Net.Sockets;
using KitMesh.Devices.Options;

namespace KitMesh.Devices.Modbus;

/// <summary>Where a Modbus device is and how it is asked.</summary>
/// <param name="Line">How it is connected.</param>
/// <param name="Host">Host of a TCP line.</param>
/// <param name="Port">Port of a TCP line.</param>
/// <param name="Device">Device file of a serial line.</param>
/// <param name="Baud">Speed of a serial line.</param>
/// <param name="Parity">Parity of a serial line.</param>
/// <param name="StopBits">Stop bits of a serial line.</param>
/// <param name="Unit">Unit id.</param>
/// <param name="Timeout">Longest wait for an answer.</param>
public sealed record ModbusLinkOptions(
    ModbusLine Line,
    string Host,
    int Port,
    string Device,
    int Baud,
    Parity Parity,
    StopBits StopBits,
    byte Unit,
    TimeSpan Timeout)
{
    private static readonly Dictionary<string, ModbusLine> Lines = new(StringComparer.Ordinal)
    {
        ["tcp"] = ModbusLine.Tcp,
        ["serial"] = ModbusLine.Serial,
        ["serial-over-tcp"] = ModbusLine.SerialOverTcp,
    };

    private static readonly Dictionary<string, Parity> Parities = new(StringComparer.Ordinal)
    {
        ["even"] = Parity.Even,
        ["odd"] = Parity.Odd,
        ["none"] = Parity.None,
    };

    /// <summary>Reads the keys of a Modbus device.</summary>
    /// <param name="map">The reader's options.</param>
    public static ModbusLinkOptions Read(OptionMap map)
    {
        ModbusLine line = map.Choice("line", Lines, "tcp");
        bool serial = line == ModbusLine.Serial;
        Parity parity = serial ? map.Choice("parity", Parities, "even") : Parity.Even;
        return new(
            line,
            serial ? "" : map.Text("host", "host name or address of the device"),
            serial ? 0 : map.Whole("port", 1, 65535, 502),
            serial ? map.Text("device", "the serial device file, such as /dev/ttyUSB0") : "",
            serial ? map.Whole("baud", 300, 1_000_000, 19_200) : 0,
            parity,
            // The serial guide asks for two stop bits where there is no parity bit; many devices want one.
            serial && map.Whole("stopBits", 1, 2, parity == Parity.None ? 2 : 1) == 2 ? StopBits.Two : StopBits.One,
            (byte)map.Whole("unit", 0, 255, 1),
            map.Time("timeout", TimeSpan.FromMilliseconds(20), TimeSpan.FromSeconds(60), TimeSpan.FromSeconds(1)));
    }

    /// <summary>Makes the link; nothing is opened yet.</summary>
    /// <param name="time">Times the waits.</param>
    public IModbusLink Open(TimeProvider time) => Line switch
    {
        ModbusLine.Tcp => new ModbusTcpLink(Host, Port, Unit, Timeout, time),
        ModbusLine.Serial => new ModbusRtuLink(Device, OpenSerial, Unit, Timeout, Quiet, time),
        ModbusLine.SerialOverTcp => new ModbusRtuLink($"{Host}:{Port}", OpenTcpAsync, Unit, Timeout, Quiet, time),
        _ => throw new InvalidOperationException("Not a kind of line."),
    };

    // Ten characters at the slowest line that is common, or 20 ms: far past the 3.5 characters of the standard.
    private static TimeSpan Quiet => TimeSpan.FromMilliseconds(20);

    private Task<Stream> OpenSerial(CancellationToken stop)
    {
        var port = new SerialPort(Device, Baud, Parity, 8, StopBits);
        try
        {
            port.Open();
            return Task.FromResult(port.BaseStream);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException or ArgumentException)
        {
            port.Dispose();
            throw new IOException(e.Message, e);
        }
    }

    private async Task<Stream> OpenTcpAsync(CancellationToken stop)
    {
        var client = new TcpClient { NoDelay = true };
        try
        {
            await client.ConnectAsync(Host, Port, stop).ConfigureAwait(false);
            return client.GetStream();
        }
        catch
        {
            client.Dispose();
            throw;
        }
    }
}
