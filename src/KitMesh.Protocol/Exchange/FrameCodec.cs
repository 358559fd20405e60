using Google.Protobuf;
using KitMesh.Domain;
using KitMesh.Domain.Exchange;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Time;

namespace KitMesh.Protocol.Exchange;

/// <summary>Session frames to and from the wire. Reading never throws: what does not fit becomes an <see cref="OddFrame"/>.</summary>
public static class FrameCodec
{
    /// <summary>To the wire. Report bytes are wrapped, not copied: they must not change until the frame is sent.</summary>
    /// <param name="frame">Any frame but an <see cref="OddFrame"/>.</param>
    /// <exception cref="ArgumentException">The frame is odd: it cannot be said.</exception>
    public static V1.Frame Write(SessionFrame frame) => frame switch
    {
        HelloFrame it => new V1.Frame { Hello = HelloCodec.Write(it) },
        HoldingsFrame it => new V1.Frame { Holdings = HoldingsCodec.Write(it) },
        ReportsFrame it => new V1.Frame { Reports = WriteReports(it) },
        DurableFrame it => new V1.Frame { Durable = HoldingsCodec.Write(it) },
        CreditFrame it => new V1.Frame { Credit = new V1.Credit { Bytes = (ulong)it.Bytes } },
        ClockProbeFrame it => new V1.Frame { ClockProbe = new V1.ClockProbe { Id = it.Id } },
        ClockEchoFrame it => new V1.Frame { ClockEcho = WriteEcho(it) },
        FingerprintFrame it => new V1.Frame { Fingerprint = WriteFingerprint(it) },
        CompareFrame it => new V1.Frame { Compare = CompareCodec.Write(it) },
        ContentsFrame it => new V1.Frame { Contents = CompareCodec.Write(it) },
        RestFrame it => new V1.Frame { Rest = new V1.Rest { Heard = it.Heard } },
        ByeFrame it => new V1.Frame { Bye = new V1.Bye { Reason = (V1.ByeReason)(int)it.Reason, Words = it.Words } },
        _ => throw new ArgumentException($"{frame?.GetType().Name} cannot be said.", nameof(frame)),
    };

    /// <summary>From the wire.</summary>
    /// <param name="frame">What came; null or empty when it was of an unknown kind.</param>
    public static SessionFrame Read(V1.Frame? frame)
    {
        var fields = new FieldReader();
        SessionFrame? read = frame?.KindCase switch
        {
            V1.Frame.KindOneofCase.Hello => HelloCodec.Read(frame.Hello, fields),
            V1.Frame.KindOneofCase.Holdings => HoldingsCodec.Read(frame.Holdings, fields),
            V1.Frame.KindOneofCase.Reports => ReadReports(frame.Reports, fields),
            V1.Frame.KindOneofCase.Durable => HoldingsCodec.Read(frame.Durable, fields),
            V1.Frame.KindOneofCase.Credit => ReadCredit(frame.Credit, fields),
            V1.Frame.KindOneofCase.ClockProbe => new ClockProbeFrame(frame.ClockProbe.Id),
            V1.Frame.KindOneofCase.ClockEcho => ReadEcho(frame.ClockEcho, fields),
            V1.Frame.KindOneofCase.Fingerprint => ReadFingerprint(frame.Fingerprint, fields),
            V1.Frame.KindOneofCase.Compare => CompareCodec.Read(frame.Compare, fields),
            V1.Frame.KindOneofCase.Contents => CompareCodec.Read(frame.Contents, fields),
            V1.Frame.KindOneofCase.Rest => new RestFrame(frame.Rest.Heard),
            V1.Frame.KindOneofCase.Bye => new ByeFrame(ReadReason(frame.Bye.Reason), frame.Bye.Words),
            _ => new OddFrame(Malformed: false, "a frame of a kind that this version does not know"),
        };
        return fields.Fault is { } fault ? new OddFrame(Malformed: true, $"{frame?.KindCase}: {fault}") : read!;
    }

    private static V1.Reports WriteReports(ReportsFrame frame)
    {
        var message = new V1.Reports { Origin = OriginCodec.Write(frame.Origin), FirstSequence = frame.FirstSequence };
        message.Reports_.AddRange(frame.Reports.Select(UnsafeByteOperations.UnsafeWrap));
        return message;
    }

    private static ReportsFrame? ReadReports(V1.Reports message, FieldReader fields)
    {
        OriginId origin = OriginCodec.Read(message.Origin, fields);
        int count = message.Reports_.Count;
        if (count is 0 or > ReportsFrame.MaxReports)
        {
            fields.Blame($"{count} reports; 1 to {ReportsFrame.MaxReports} are allowed");
            return null;
        }

        if (message.FirstSequence == 0 || message.FirstSequence > ulong.MaxValue - 1 - (ulong)count)
        {
            fields.Blame("the first sequence is out of range");
            return null;
        }

        long bytes = 0;
        var reports = new ReadOnlyMemory<byte>[count];
        for (int i = 0; i < count; i++)
        {
            reports[i] = message.Reports_[i].Memory;
            bytes += reports[i].Length;
            if (reports[i].Length > ReportsFrame.MaxReportBytes)
            {
                fields.Blame($"a report of {reports[i].Length} bytes; {ReportsFrame.MaxReportBytes} are allowed");
            }
        }

        if (bytes > ReportsFrame.MaxBytes)
        {
            fields.Blame($"{bytes} bytes of reports; {ReportsFrame.MaxBytes} are allowed");
        }

        return new ReportsFrame(origin, message.FirstSequence, reports);
    }

    private static CreditFrame ReadCredit(V1.Credit message, FieldReader fields)
    {
        if (message.Bytes is 0 or > int.MaxValue)
        {
            fields.Blame("the credit is out of range");
        }

        return new CreditFrame((long)Math.Min(message.Bytes, int.MaxValue));
    }

    private static V1.ClockEcho WriteEcho(ClockEchoFrame frame) => new()
    {
        Id = frame.Id,
        Clock = ClockCodec.Write(frame.Clock),
        Trust = ClockCodec.Write(frame.Trust),
    };

    private static ClockEchoFrame ReadEcho(V1.ClockEcho message, FieldReader fields) =>
        new(message.Id, fields.Time(message.Clock, "clock"), ClockCodec.Read(message.Trust));

    private static V1.Fingerprint WriteFingerprint(FingerprintFrame frame)
    {
        var message = new V1.Fingerprint { Holdings = HashCodec.Write(frame.Holdings), FoldVersion = frame.FoldVersion };
        if (frame.State is { } state)
        {
            message.State = HashCodec.Write(state);
        }

        return message;
    }

    private static FingerprintFrame ReadFingerprint(V1.Fingerprint message, FieldReader fields) => new(
        HashCodec.Read(message.Holdings, fields, "holdings"),
        message.State.IsEmpty ? null : HashCodec.Read(message.State, fields, "state"),
        message.FoldVersion);

    private static ByeReason ReadReason(V1.ByeReason reason) =>
        Enum.IsDefined((ByeReason)(int)reason) ? (ByeReason)(int)reason : ByeReason.Unknown;
}
