using System.Buffers.Binary;
using System.Net.Sockets;

namespace KitMesh.Devices.Modbus;

// Problem: a device that answers late answers the question before the last one.
// Trap: after a timeout the late answer is still in the socket, and looks like the answer to the next read.
// Method: every request has a transaction id of its own; answers with another id are read past, a bounded number of
// them. Whatever else breaks the framing closes the connection, since nobody knows where the next frame starts.
// Source: MODBUS Messaging on TCP/IP Implementation Guide V1.0b, section 3.1.3 (the seven-byte header).

/// <summary>Modbus TCP: a seven-byte header with transaction id, then function and data.</summary>
public sealed class ModbusTcpLink : IModbusLink
{
    private const int HeaderLength = 7;
    private const int MaxStaleAnswers = 8;

    private readonly string _host;
    private readonly int _port;
    private readonly byte _unit;
    private readonly TimeSpan _timeout;
    private readonly TimeProvider _time;
    private TcpClient? _client;
    private ushort _transaction;

    /// <summary>A link to one device; it connects at the first read.</summary>
    /// <param name="host">Host name or address.</param>
    /// <param name="port">TCP port; 502 by the standard.</param>
    /// <param name="unit">Unit id.</param>
    /// <param name="timeout">Longest wait for connection and answer.</param>
    /// <param name="time">Times the wait.</param>
    public ModbusTcpLink(string host, int port, byte unit, TimeSpan timeout, TimeProvider time)
    {
        _host = host;
        _port = port;
        _unit = unit;
        _timeout = timeout;
        _time = time;
    }

    /// <inheritdoc/>
    public string Where => $"{_host}:{_port} unit {_unit}";

    /// <inheritdoc/>
    public async Task<ModbusAnswer> ReadAsync(RegisterTable table, ushort address, int count, CancellationToken stop)
    {
        byte[] pdu = ModbusPdu.Request(table, address, count);
        using var timeout = new CancellationTokenSource(_timeout, _time);
        using var both = CancellationTokenSource.CreateLinkedTokenSource(stop, timeout.Token);
        FrameReader? reader = null;
        try
        {
            NetworkStream stream = await ConnectAsync(both.Token).ConfigureAwait(false);
            reader = new FrameReader(stream, HeaderLength + ModbusPdu.MaxLength);
            await stream.WriteAsync(Frame(pdu), both.Token).ConfigureAwait(false);
            return await AnswerAsync(reader, table, count, both.Token).ConfigureAwait(false);
        }
        catch (OperationCanceledException) when (!stop.IsCancellationRequested)
        {
            // Half a frame leaves the stream nowhere; a whole silence leaves it good for the next transaction.
            byte[] part = reader?.Bytes.ToArray() ?? [];
            if (part.Length > 0 || reader is null)
            {
                Close();
            }

            return new ModbusAnswer.Silent(part);
        }
        catch (Exception e) when (e is IOException or SocketException)
        {
            Close();
            return new ModbusAnswer.Unreachable(e.Message);
        }
    }

    /// <inheritdoc/>
    public ValueTask DisposeAsync()
    {
        Close();
        return ValueTask.CompletedTask;
    }

    private async Task<NetworkStream> ConnectAsync(CancellationToken stop)
    {
        if (_client is { Connected: true } open)
        {
            return open.GetStream();
        }

        Close();
        _client = new TcpClient { NoDelay = true };
        await _client.ConnectAsync(_host, _port, stop).ConfigureAwait(false);
        return _client.GetStream();
    }

    private byte[] Frame(byte[] pdu)
    {
        _transaction++;
        var frame = new byte[HeaderLength + pdu.Length];
        BinaryPrimitives.WriteUInt16BigEndian(frame, _transaction);
        BinaryPrimitives.WriteUInt16BigEndian(frame.AsSpan(4), (ushort)(1 + pdu.Length));
        frame[6] = _unit;
        pdu.CopyTo(frame, HeaderLength);
        return frame;
    }

    private async Task<ModbusAnswer> AnswerAsync(FrameReader reader, RegisterTable table, int count, CancellationToken stop)
    {
        for (int stale = 0; stale <= MaxStaleAnswers; stale++)
        {
            reader.Clear();
            if (!await reader.FillToAsync(HeaderLength, stop).ConfigureAwait(false))
            {
                return EndedEarly(reader);
            }

            int length = BinaryPrimitives.ReadUInt16BigEndian(reader.Bytes[4..]);
            if (BinaryPrimitives.ReadUInt16BigEndian(reader.Bytes[2..]) != 0 || length is < 3 or > 1 + ModbusPdu.MaxLength)
            {
                return CloseOver("the header is none of Modbus TCP", reader);
            }

            if (!await reader.FillToAsync(HeaderLength - 1 + length, stop).ConfigureAwait(false))
            {
                return EndedEarly(reader);
            }

            if (BinaryPrimitives.ReadUInt16BigEndian(reader.Bytes) == _transaction)
            {
                return Judge(reader, table, count);
            }
        }

        return CloseOver("it answers other questions than the one asked", reader);
    }

    private ModbusAnswer Judge(FrameReader reader, RegisterTable table, int count)
    {
        if (reader.Bytes[6] != _unit)
        {
            return CloseOver($"unit {reader.Bytes[6]} answers for unit {_unit}", reader);
        }

        ModbusAnswer answer = ModbusPdu.Decode(table, count, reader.Bytes[HeaderLength..], reader.Bytes.ToArray());
        if (answer is ModbusAnswer.Garbled)
        {
            Close();
        }

        return answer;
    }

    private ModbusAnswer EndedEarly(FrameReader reader) => CloseOver("the connection ended inside it", reader);

    private ModbusAnswer.Garbled CloseOver(string why, FrameReader reader)
    {
        Close();
        return new ModbusAnswer.Garbled(why, reader.Bytes.ToArray());
    }

    private void Close()
    {
        _client?.Dispose();
        _client = null;
    }
}
