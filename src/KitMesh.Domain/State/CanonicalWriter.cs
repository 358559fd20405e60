using System.Buffers;
using System.Buffers.Binary;
using System.Text;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Time;
using NodaTime;

namespace KitMesh.Domain.State;

/// <summary>Writes values in the one form that every hub writes: the bytes behind the state fingerprint.</summary>
/// <remarks>
/// Numbers are big-endian and of fixed width; text is UTF-8 behind its length in four bytes; what may be absent stands
/// behind a byte 0 or 1; a list stands behind its length. Every NaN is written as 7FF8000000000000 and minus zero as
/// zero, since processors differ in the rest of their bits.
/// </remarks>
internal sealed class CanonicalWriter
{
    private const ulong OneNaN = 0x7FF8_0000_0000_0000;

    private readonly ArrayBufferWriter<byte> _bytes = new();

    /// <summary>What was written.</summary>
    public ReadOnlySpan<byte> Written => _bytes.WrittenSpan;

    public void Byte(byte value)
    {
        _bytes.GetSpan(1)[0] = value;
        _bytes.Advance(1);
    }

    public void Bool(bool value) => Byte(value ? (byte)1 : (byte)0);

    public void Int(long value)
    {
        BinaryPrimitives.WriteInt64BigEndian(_bytes.GetSpan(sizeof(long)), value);
        _bytes.Advance(sizeof(long));
    }

    public void Unsigned(ulong value)
    {
        BinaryPrimitives.WriteUInt64BigEndian(_bytes.GetSpan(sizeof(ulong)), value);
        _bytes.Advance(sizeof(ulong));
    }

    public void Number(double value)
    {
        ulong bits = double.IsNaN(value) ? OneNaN : value == 0 ? 0 : BitConverter.DoubleToUInt64Bits(value);
        Unsigned(bits);
    }

    public void Text(string value)
    {
        int length = Encoding.UTF8.GetByteCount(value);
        Count(length);
        Encoding.UTF8.GetBytes(value, _bytes.GetSpan(length));
        _bytes.Advance(length);
    }

    public void Count(int value)
    {
        BinaryPrimitives.WriteInt32BigEndian(_bytes.GetSpan(sizeof(int)), value);
        _bytes.Advance(sizeof(int));
    }

    public void Bits(UInt128 value)
    {
        BinaryPrimitives.WriteUInt128BigEndian(_bytes.GetSpan(16), value);
        _bytes.Advance(16);
    }

    public void Time(Instant value) => Int(UnixNanoseconds.Of(value));

    public void Span(Duration value) => Bits((UInt128)value.ToInt128Nanoseconds());

    public void Origin(OriginId value)
    {
        Text(value.Node.Value);
        Unsigned(value.Epoch);
    }

    public void Key(ReportKey value)
    {
        Origin(value.Origin);
        Unsigned(value.Sequence);
    }

    public void Stamp(FactStamp value)
    {
        Time(value.Time);
        Byte((byte)value.Trust);
        Key(value.Key);
        Bits(value.Content.High);
        Bits(value.Content.Low);
    }

    public void Clock(DeviceTime value)
    {
        Time(value.Wall);
        Unsigned(value.Boot.Value);
        Int(value.MonotonicNanoseconds);
    }

    public void Maybe(double? value) => Maybe(value, Number);

    public void Maybe(KitId? value) => Maybe(value, id => Text(id.Value));

    public void Maybe(Instant? value) => Maybe(value, Time);

    public void Maybe(Duration? value) => Maybe(value, Span);

    public void Maybe(string? value)
    {
        Bool(value is not null);
        if (value is not null)
        {
            Text(value);
        }
    }

    public void Maybe<T>(T? value, Action<T> write)
        where T : struct
    {
        Bool(value is not null);
        if (value is { } present)
        {
            write(present);
        }
    }

    public void Many<T>(IReadOnlyCollection<T> values, Action<T> write)
    {
        Count(values.Count);
        foreach (T value in values)
        {
            write(value);
        }
    }
}
