using System.Buffers.Binary;
using System.Net;
using System.Net.Sockets;

namespace KitMesh.Demo.Devices;

/// <summary>A small Modbus TCP server for reading registers: what a charge controller has behind its socket.</summary>
/// <remarks>
/// Source: MODBUS Messaging on TCP/IP Implementation Guide V1.0b and MODBUS Application Protocol V1.1b3 (modbus.org).
/// Functions 3 and 4 only; everything else is answered with exception 1, a range outside the map with exception 2, a count
/// outside 1 to 125 with exception 3. One answer is one snapshot of the registers, as a device with a double buffer gives.
/// </remarks>
public sealed class ModbusTcpServer : IAsyncDisposable
{
    private const int HeaderBytes = 7;
    private const int MaxConnections = 8;
    private const int MaxRegisters = 125;

    private readonly TcpListener _listener = new(IPAddress.Loopback, 0);
    private readonly Func<ushort[]> _registers;
    private readonly int _baseAddress;
    private readonly CancellationTokenSource _stop = new();
    private readonly SemaphoreSlim _connections = new(MaxConnections);
    private readonly Task _accepting;

    /// <summary>Starts to listen on a free port of the loopback address.</summary>
    /// <param name="baseAddress">Address of the first register.</param>
    /// <param name="registers">Gives the registers of the moment.</param>
    public ModbusTcpServer(int baseAddress, Func<ushort[]> registers)
    {
        _baseAddress = baseAddress;
        _registers = registers;
        _listener.Start();
        Port = ((IPEndPoint)_listener.LocalEndpoint).Port;
        _accepting = AcceptAsync();
    }

    /// <summary>The port.</summary>
    public int Port { get; }

    /// <summary>Requests answered since the start.</summary>
    public long Answered { get; private set; }

    /// <inheritdoc/>
    public async ValueTask DisposeAsync()
    {
        await _stop.CancelAsync().ConfigureAwait(false);
        _listener.Stop();
        await _accepting.ConfigureAwait(false);
        _listener.Dispose();
    }

    internal byte[] Answer(ReadOnlySpan<byte> request)
    {
        byte function = request[0];
        if (function is not (3 or 4))
        {
            return [(byte)(function | 0x80), 1];
        }

        if (request.Length < 5)
        {
            return [(byte)(function | 0x80), 3];
        }

        int address = BinaryPrimitives.ReadUInt16BigEndian(request[1..]);
        int count = BinaryPrimitives.ReadUInt16BigEndian(request[3..]);
        if (count is < 1 or > MaxRegisters)
        {
            return [(byte)(function | 0x80), 3];
        }

        ushort[] registers = _registers();
        int first = address - _baseAddress;
        if (first < 0 || first + count > registers.Length)
        {
            return [(byte)(function | 0x80), 2];
        }

        byte[] answer = new byte[2 + (2 * count)];
        answer[0] = function;
        answer[1] = (byte)(2 * count);
        for (int i = 0; i < count; i++)
        {
            BinaryPrimitives.WriteUInt16BigEndian(answer.AsSpan(2 + (2 * i)), registers[first + i]);
        }

        return answer;
    }

    private async Task AcceptAsync()
    {
        try
        {
            while (!_stop.IsCancellationRequested)
            {
                await _connections.WaitAsync(_stop.Token).ConfigureAwait(false);
                TcpClient client = await _listener.AcceptTcpClientAsync(_stop.Token).ConfigureAwait(false);
                _ = ServeAsync(client);
            }
        }
        catch (Exception e) when (e is OperationCanceledException or SocketException or ObjectDisposedException)
        {
            // The server was asked to stop.
        }
    }

    private async Task ServeAsync(TcpClient client)
    {
        try
        {
            using (client)
            {
                client.NoDelay = true;
                NetworkStream stream = client.GetStream();
                byte[] header = new byte[HeaderBytes];
                while (true)
                {
                    await stream.ReadExactlyAsync(header, _stop.Token).ConfigureAwait(false);
                    int length = BinaryPrimitives.ReadUInt16BigEndian(header.AsSpan(4));
                    if (length is < 2 or > 254)
                    {
                        return;
                    }

                    byte[] request = new byte[length - 1];
                    await stream.ReadExactlyAsync(request, _stop.Token).ConfigureAwait(false);
                    byte[] answer = Answer(request);
                    byte[] frame = new byte[HeaderBytes + answer.Length];
                    header.AsSpan(0, 4).CopyTo(frame);
                    BinaryPrimitives.WriteUInt16BigEndian(frame.AsSpan(4), (ushort)(answer.Length + 1));
                    frame[6] = header[6];
                    answer.CopyTo(frame, HeaderBytes);
                    await stream.WriteAsync(frame, _stop.Token).ConfigureAwait(false);
                    Answered++;
                }
            }
        }
        catch (Exception e) when (e is OperationCanceledException or IOException or SocketException or ObjectDisposedException)
        {
            // The client went away, or the server was asked to stop.
        }
        finally
        {
            _connections.Release();
        }
    }
}
