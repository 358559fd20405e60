using System.Buffers.Binary;
using System.Globalization;
using Google.Protobuf;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Time;
using NodaTime;
using NodaTime.Text;

namespace KitMesh.Protocol;

/// <summary>Turns the fields of one message into domain values and remembers the first that does not fit.</summary>
/// <remarks>
/// A report with a bad field is kept, not refused, so nothing here throws: a field that does not fit gives the default
/// of its type and a fault, and whoever asked drops the half-read record when <see cref="Fault"/> is set. Numbers are
/// never judged here: NaN and impossible values are for the models to leave out.
/// </remarks>
internal sealed class FieldReader
{
    /// <summary>What is wrong, in words; null while all is well.</summary>
    public string? Fault { get; private set; }

    /// <summary>Says what is wrong, if nothing was wrong before.</summary>
    public void Blame(string words) => Fault ??= words;

    /// <summary>A name that must be there.</summary>
    public KitId Id(string text, string field)
    {
        if (KitId.TryParse(text, out KitId id))
        {
            return id;
        }

        Blame(text.Length == 0 ? $"{field} is missing" : $"{field} is no kit name");
        return default;
    }

    /// <summary>A name that may be absent.</summary>
    public KitId? Id(bool present, string text, string field) => present ? Id(text, field) : null;

    /// <summary>A node id.</summary>
    public NodeId Node(string text, string field)
    {
        if (NodeId.TryParse(text, out NodeId id))
        {
            return id;
        }

        Blame(text.Length == 0 ? $"{field} is missing" : $"{field} is no node id");
        return default;
    }

    /// <summary>A content hash of 16 bytes.</summary>
    public ClipHash Clip(ByteString bytes, string field)
    {
        if (bytes.Length == 16)
        {
            return new ClipHash(BinaryPrimitives.ReadUInt128BigEndian(bytes.Span));
        }

        Blame(string.Create(CultureInfo.InvariantCulture, $"{field} has {bytes.Length} bytes instead of 16"));
        return default;
    }

    /// <summary>A content hash that may be absent.</summary>
    public ClipHash? Clip(bool present, ByteString bytes, string field) => present ? Clip(bytes, field) : null;

    /// <summary>A civil day in ISO 8601.</summary>
    public LocalDate Day(string text, string field)
    {
        ParseResult<LocalDate> day = LocalDatePattern.Iso.Parse(text);
        if (day.Success)
        {
            return day.Value;
        }

        Blame($"{field} is no day");
        return default;
    }

    /// <summary>A civil day that may be absent.</summary>
    public LocalDate? Day(bool present, string text, string field) => present ? Day(text, field) : null;

    /// <summary>An offset from UTC, within 18 hours.</summary>
    public Offset Offset(int seconds, string field)
    {
        if (Math.Abs((long)seconds) <= 18 * 3600)
        {
            return NodaTime.Offset.FromSeconds(seconds);
        }

        Blame($"{field} is past 18 hours");
        return default;
    }

    /// <summary>A message that must be there.</summary>
    public DeviceTime Time(V1.DeviceTime? time, string field)
    {
        if (time is not null)
        {
            return ClockCodec.Read(time);
        }

        Blame($"{field} is missing");
        return default;
    }
}
