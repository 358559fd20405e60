using System.Globalization;
using Google.Protobuf;
using KitMesh.Domain.Exchange;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Time;
using NodaTime;

namespace KitMesh.Protocol.Reports;

/// <summary>Reports to bytes and back. Writing is canonical; reading never throws on what came from outside.</summary>
/// <remarks>
/// Whatever cannot be read becomes an <see cref="UnknownBody"/> that says why. The bytes themselves stay with the
/// <see cref="RawReport"/>: they are journalled, hashed and passed on, so that a newer hub can read what this one cannot.
/// </remarks>
public static class ReportCodec
{
    /// <summary>The most bytes of one report.</summary>
    public const int MaxBytes = ReportsFrame.MaxReportBytes;

    /// <summary>Encodes what a node is about to write.</summary>
    /// <param name="hybrid">Hybrid time.</param>
    /// <param name="written">What the device's clocks say.</param>
    /// <param name="body">The fact.</param>
    /// <exception cref="ArgumentException">The body is an <see cref="UnknownBody"/>, or too long for a report.</exception>
    public static byte[] Encode(HybridTime hybrid, DeviceTime written, ReportBody body) => Encode(ToMessage(hybrid, written, body));

    /// <summary>Encodes a report.</summary>
    /// <param name="report">The report; its key is not part of the bytes.</param>
    /// <exception cref="ArgumentException">The body is an <see cref="UnknownBody"/>, or too long for a report.</exception>
    public static byte[] Encode(Report report)
    {
        ArgumentNullException.ThrowIfNull(report);
        return Encode(report.Hybrid, report.Written, report.Body);
    }

    /// <summary>Encodes a message canonically: what a hub does with a report that came as JSON.</summary>
    /// <param name="message">The message.</param>
    /// <exception cref="ArgumentException">It is too long for a report.</exception>
    public static byte[] Encode(V1.Report message)
    {
        ArgumentNullException.ThrowIfNull(message);
        byte[] bytes = message.ToByteArray();
        return bytes.Length <= MaxBytes
            ? bytes
            : throw new ArgumentException($"A report has at most {MaxBytes} bytes; this one would have {bytes.Length}.", nameof(message));
    }

    /// <summary>A report as a message.</summary>
    /// <param name="hybrid">Hybrid time.</param>
    /// <param name="written">What the device's clocks say.</param>
    /// <param name="body">The fact.</param>
    /// <exception cref="ArgumentException">The body is an <see cref="UnknownBody"/>.</exception>
    public static V1.Report ToMessage(HybridTime hybrid, DeviceTime written, ReportBody body)
    {
        var message = new V1.Report
        {
            HybridTime = hybrid.Packed,
            WallUnixNanos = Nanoseconds.Of(written.Wall),
            Boot = written.Boot.Value,
            MonotonicNanos = written.MonotonicNanoseconds,
        };
        BodyCodec.Write(body, message);
        return message;
    }

    /// <summary>Reads a report.</summary>
    /// <param name="raw">Its key and bytes.</param>
    public static Report Decode(RawReport raw) => Decode(raw.Key, raw.Bytes.Span);

    /// <summary>Reads a report.</summary>
    /// <param name="key">Where it stands.</param>
    /// <param name="bytes">Its bytes, good or bad.</param>
    public static Report Decode(ReportKey key, ReadOnlySpan<byte> bytes)
    {
        if (bytes.Length > MaxBytes)
        {
            return Unreadable(key, string.Create(CultureInfo.InvariantCulture, $"it has {bytes.Length} bytes; at most {MaxBytes} are read"));
        }

        try
        {
            V1.Report message = V1.Report.Parser.ParseFrom(bytes);
            return FromMessage(key, message);
        }
        catch (InvalidProtocolBufferException broken)
        {
            return Unreadable(key, $"it is no report message: {broken.Message}");
        }
    }

    /// <summary>Reads a report that is a message already.</summary>
    /// <param name="key">Where it stands.</param>
    /// <param name="message">The message.</param>
    public static Report FromMessage(ReportKey key, V1.Report message)
    {
        ArgumentNullException.ThrowIfNull(message);
        var fields = new FieldReader();
        ReportBody? body = BodyCodec.Read(message, fields);
        if (fields.Fault is { } fault)
        {
            body = new UnknownBody($"{message.BodyCase}: {fault}");
        }

        var written = new DeviceTime(Nanoseconds.ToInstant(message.WallUnixNanos), new BootId(message.Boot), message.MonotonicNanos);
        return new Report(key, new HybridTime(message.HybridTime), written, body ?? Unknown(message));
    }

    private static UnknownBody Unknown(V1.Report message)
    {
        int? kind = BodyNumber.Find(message.ToByteArray());
        return new UnknownBody(kind is { } number
            ? string.Create(CultureInfo.InvariantCulture, $"it is of kind {number}, which this version does not know")
            : "it says nothing");
    }

    private static Report Unreadable(ReportKey key, string reason) =>
        new(key, default, new DeviceTime(NodaConstants.UnixEpoch, default, 0), new UnknownBody(reason));
}
