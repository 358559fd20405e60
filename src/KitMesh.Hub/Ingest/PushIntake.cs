using KitMesh.Domain.Exchange;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Time;
using KitMesh.Hub.Enrolment;
using KitMesh.Hub.Grpc;
using KitMesh.Hub.Seals;
using KitMesh.Protocol;
using KitMesh.Protocol.Exchange;
using KitMesh.Protocol.Reports;
using KitMesh.Sync.Journal;
using KitMesh.Sync.Session;
using NodaTime;
using V1 = KitMesh.Protocol.V1;

namespace KitMesh.Hub.Ingest;

/// <summary>Takes a batch in one call: the way of browsers and scripts. The answer means the same as in a session: durable.</summary>
internal sealed class PushIntake(ReportIntake intake, ClockPairLog clockPairs, HubOptions options, HubClocks clocks)
{
    private const int MaxRemarks = 100;

    /// <summary>Handles one push.</summary>
    /// <exception cref="CallRefusedException">The request is wrong, or the disk failed; nothing of it is acknowledged.</exception>
    /// <param name="request">The request.</param>
    /// <param name="caller">Who makes it; null on a hub that asks nobody.</param>
    /// <param name="cancellation">Gives up waiting.</param>
    public async Task<V1.PushResponse> PushAsync(V1.PushRequest request, Caller? caller, CancellationToken cancellation)
    {
        if (!OriginCodec.TryRead(request.Origin, out OriginId origin))
        {
            throw CallRefusedException.Bad("origin", "The origin is missing or no origin: give node (1 to 63 of a-z, 0-9 and inner hyphens) and epoch (64 random bits, drawn once).");
        }

        if (origin.Node == options.Node)
        {
            throw CallRefusedException.Bad("origin.node", $"{origin.Node} is this hub's own name. Choose another name for the writer.");
        }

        IReadOnlyList<ReadOnlyMemory<byte>> encoded = Encode(request);
        if (!SequenceRange.IsValid(request.FirstSequence, request.FirstSequence + (ulong)Math.Max(0, encoded.Count - 1)))
        {
            throw CallRefusedException.Bad("first_sequence", "Sequences count from 1 without gaps.");
        }

        await NoteClockAsync(request, origin, cancellation).ConfigureAwait(false);
        RawReport[] reports = [.. encoded.Select((bytes, i) => new RawReport(new ReportKey(origin, request.FirstSequence + (ulong)i), bytes))];
        AppendResult result = reports.Length == 0 ? new AppendResult.Durable(0, 0, [], 0, default) : await intake.AppendAsync(reports, cancellation).ConfigureAwait(false);
        if (result is AppendResult.Durable)
        {
            await NoteDirectAsync(caller, reports, cancellation).ConfigureAwait(false);
        }

        return result switch
        {
            AppendResult.Durable durable => Answer(origin, reports, durable),
            AppendResult.Failed failed => throw CallRefusedException.Unavailable($"The hub's disk failed, so nothing of this push is acknowledged; keep it and send it again. {failed.Fault}"),
            AppendResult.Refused refused => throw CallRefusedException.Bad("reports", refused.Reason),
            _ => throw new InvalidOperationException("Unknown result of an append."),
        };
    }

    private async Task NoteDirectAsync(Caller? caller, RawReport[] reports, CancellationToken cancellation)
    {
        var direct = new DirectTakes(caller);
        direct.Note(reports);
        if (direct.Take() is { Count: > 0 } taken)
        {
            await intake.WriteAsync(taken, cancellation).ConfigureAwait(false);
        }
    }

    private IReadOnlyList<ReadOnlyMemory<byte>> Encode(V1.PushRequest request)
    {
        if (request.Encoded.Count > 0 && request.Reports.Count > 0)
        {
            throw CallRefusedException.Bad("reports", "Give encoded or reports, not both.");
        }

        int count = request.Encoded.Count + request.Reports.Count;
        if (count > ReportsFrame.MaxReports)
        {
            throw CallRefusedException.Bad("reports", $"{count} reports are more than the {ReportsFrame.MaxReports} of one push. Send them in parts.");
        }

        ReadOnlyMemory<byte>[] encoded = request.Encoded.Count > 0
            ? [.. request.Encoded.Select(bytes => bytes.Memory)]
            : [.. request.Reports.Select(EncodeMessage)];
        for (int i = 0; i < encoded.Length; i++)
        {
            if (encoded[i].Length > options.MaxReportBytes)
            {
                throw CallRefusedException.Bad($"reports[{i}]", $"Report {i} has {encoded[i].Length} bytes; at most {options.MaxReportBytes} are taken. Nothing of this push was kept.");
            }
        }

        long bytes = encoded.Sum(report => (long)report.Length);
        return bytes <= ReportsFrame.MaxBytes
            ? encoded
            : throw CallRefusedException.Bad("reports", $"{bytes} bytes of reports are more than the {ReportsFrame.MaxBytes} of one push. Send them in parts.");
    }

    private static ReadOnlyMemory<byte> EncodeMessage(V1.Report message, int index)
    {
        try
        {
            return ReportCodec.Encode(message);
        }
        catch (ArgumentException tooLong)
        {
            throw CallRefusedException.Bad($"reports[{index}]", tooLong.Message);
        }
    }

    private async Task NoteClockAsync(V1.PushRequest request, OriginId origin, CancellationToken cancellation)
    {
        if (request.Clock is null)
        {
            return;
        }

        // How long the call was under way cannot be known from one side: a caller waits no longer than the call's limit.
        var pair = new ClockPair(
            origin.Node,
            ClockCodec.Read(request.Clock),
            ClockCodec.Read(request.ClockTrust),
            clocks.Device.Read(),
            clocks.Device.Trust,
            Duration.FromTimeSpan(options.CallTimeout));
        if (clockPairs.IsNews(pair))
        {
            await intake.WriteAsync([pair], cancellation).ConfigureAwait(false);
        }
    }

    private V1.PushResponse Answer(OriginId origin, RawReport[] reports, AppendResult.Durable durable)
    {
        var answer = new V1.PushResponse
        {
            Durable = new V1.DurableOrigin { Origin = OriginCodec.Write(origin) },
            Added = (uint)durable.Written,
        };
        if (intake.Journal.Have(origin) is { } holding)
        {
            answer.Durable.Ranges.AddRange(RangesCodec.Write(holding.Ranges));
        }

        IEnumerable<string> forks = durable.Forks.Select(key => $"{key}: another report of this sequence was here first; both are kept.");
        IEnumerable<string> odd = reports
            .Select(report => (report.Key, Oddity: ReportOddity.Of(ReportCodec.Decode(report))))
            .Where(report => report.Oddity is not null)
            .Select(report => $"{report.Key}: {report.Oddity}. It is kept.");
        answer.Remarks.AddRange(forks.Concat(odd).Take(MaxRemarks));
        return answer;
    }
}
