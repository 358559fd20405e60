namespace KitMesh.Devices.Modbus;

// Problem: on a serial line frames have no length, only a pause around them and a CRC.
// Trap: a user program cannot see pauses of 3.5 characters (2 ms at 19,200 baud); a late answer or line noise in front
// of the answer shifts every byte after it.
// Method: the length follows from the question (5 + 2n bytes, or 5 for an exception); before each question the line is
// drained of whatever still arrives; after anything wrong it is drained until it is quiet.
// Source: MODBUS over Serial Line, Specification and Implementation Guide V1.02, section 2.5.1.

/// <summary>Modbus RTU on a serial line, or on a TCP connection to a gateway that passes serial frames through.</summary>
public sealed class ModbusRtuLink : IModbusLink
{
    private const int MaxFrame = 256;
    private const int MaxDrained = 4096;

    private readonly Func<CancellationToken, Task<Stream>> _open;
    private readonly byte _unit;
    private readonly TimeSpan _timeout;
    private readonly TimeSpan _quiet;
    private readonly TimeProvider _time;
    private Stream? _stream;
    private bool _drainFirst;

    /// <summary>A link to one device; the line is opened at the first read.</summary>
    /// <param name="where">The line, for messages.</param>
    /// <param name="open">Opens the line.</param>
    /// <param name="unit">Unit id, from 1 to 247.</param>
    /// <param name="timeout">Longest wait for a whole answer.</param>
    /// <param name="quiet">A pause that ends whatever was on the line.</param>
    /// <param name="time">Times the waits.</param>
    public ModbusRtuLink(string where, Func<CancellationToken, Task<Stream>> open, byte unit, TimeSpan timeout, TimeSpan quiet, TimeProvider time)
    {
        Where = $"{where} unit {unit}";
        _open = open;
        _unit = unit;
        _timeout = timeout;
        _quiet = quiet;
        _time = time;
    }

    /// <inheritdoc/>
    public string Where { get; }

    /// <inheritdoc/>
    public async Task<ModbusAnswer> ReadAsync(RegisterTable table, ushort address, int count, CancellationToken stop)
    {
        byte[] request = Frame(ModbusPdu.Request(table, address, count));
        FrameReader? reader = null;
        using var timeout = new CancellationTokenSource(_timeout, _time);
        using var both = CancellationTokenSource.CreateLinkedTokenSource(stop, timeout.Token);
        try
        {
            _stream ??= await _open(both.Token).ConfigureAwait(false);
            if (_drainFirst)
            {
                await DrainAsync(_stream, stop).ConfigureAwait(false);
            }

            reader = new FrameReader(_stream, MaxFrame);
            await _stream.WriteAsync(request, both.Token).ConfigureAwait(false);
            await _stream.FlushAsync(both.Token).ConfigureAwait(false);
            ModbusAnswer answer = await AnswerAsync(reader, table, count, both.Token).ConfigureAwait(false);
            _drainFirst = answer is ModbusAnswer.Garbled;
            return answer;
        }
        catch (OperationCanceledException) when (!stop.IsCancellationRequested)
        {
            _drainFirst = true;
            return new ModbusAnswer.Silent(reader?.Bytes.ToArray() ?? []);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException or InvalidOperationException or System.Net.Sockets.SocketException)
        {
            await CloseAsync().ConfigureAwait(false);
            return new ModbusAnswer.Unreachable(e.Message);
        }
    }

    /// <inheritdoc/>
    public async ValueTask DisposeAsync() => await CloseAsync().ConfigureAwait(false);

    private byte[] Frame(byte[] pdu)
    {
        var frame = new byte[pdu.Length + 3];
        frame[0] = _unit;
        pdu.CopyTo(frame, 1);
        ushort crc = ModbusCrc.Of(frame.AsSpan(0, pdu.Length + 1));
        frame[^2] = (byte)crc;
        frame[^1] = (byte)(crc >> 8);
        return frame;
    }

    private async Task<ModbusAnswer> AnswerAsync(FrameReader reader, RegisterTable table, int count, CancellationToken stop)
    {
        if (!await reader.FillToAsync(3, stop).ConfigureAwait(false))
        {
            return await EndedEarlyAsync(reader).ConfigureAwait(false);
        }

        if (reader.Bytes[0] != _unit)
        {
            return new ModbusAnswer.Garbled($"unit {reader.Bytes[0]} answers for unit {_unit}", reader.Bytes.ToArray());
        }

        bool exception = (reader.Bytes[1] & 0x80) != 0;
        int total = exception ? 5 : 5 + reader.Bytes[2];
        if (total > MaxFrame)
        {
            return new ModbusAnswer.Garbled("it declares more than a frame can hold", reader.Bytes.ToArray());
        }

        if (!await reader.FillToAsync(total, stop).ConfigureAwait(false))
        {
            return await EndedEarlyAsync(reader).ConfigureAwait(false);
        }

        ushort crc = ModbusCrc.Of(reader.Bytes[..^2]);
        if (reader.Bytes[^2] != (byte)crc || reader.Bytes[^1] != (byte)(crc >> 8))
        {
            return new ModbusAnswer.Garbled("its CRC is wrong", reader.Bytes.ToArray());
        }

        return ModbusPdu.Decode(table, count, reader.Bytes[1..^2], reader.Bytes.ToArray());
    }

    private async Task<ModbusAnswer> EndedEarlyAsync(FrameReader reader)
    {
        await CloseAsync().ConfigureAwait(false);
        return reader.Length == 0
            ? new ModbusAnswer.Unreachable("the line was closed at the other end")
            : new ModbusAnswer.Garbled("the line ended inside it", reader.Bytes.ToArray());
    }

    private async Task DrainAsync(Stream stream, CancellationToken stop)
    {
        var scrap = new byte[MaxFrame];
        for (int drained = 0; drained < MaxDrained;)
        {
            using var quiet = new CancellationTokenSource(_quiet, _time);
            using var both = CancellationTokenSource.CreateLinkedTokenSource(stop, quiet.Token);
            try
            {
                int got = await stream.ReadAsync(scrap, both.Token).ConfigureAwait(false);
                if (got == 0)
                {
                    return;
                }

                drained += got;
            }
            catch (OperationCanceledException) when (!stop.IsCancellationRequested)
            {
                return;
            }
        }
    }

    private async ValueTask CloseAsync()
    {
        if (_stream is { } stream)
        {
            _stream = null;
            await stream.DisposeAsync().ConfigureAwait(false);
        }
    }
}
