using KitMesh.Domain.Exchange;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Time;
using KitMesh.Hub.Telemetry;
using KitMesh.Protocol.Reports;
using KitMesh.Sync.Journal;

namespace KitMesh.Hub.Ingest;

/// <summary>The one way into the journal: what others sent, and what this hub writes itself.</summary>
/// <remarks>
/// An answer here means durable; merging and storing happen afterwards, from the journal, and no sender waits for them.
/// </remarks>
internal sealed class ReportIntake(IJournalWriter journal, GrowthBoard board, HubClocks clocks, HubTelemetry telemetry)
{
    private readonly Lock _gate = new();
    private HybridClock _hybrid;

    /// <summary>What is durable.</summary>
    public IJournalWriter Journal => journal;

    /// <summary>Appends what others wrote.</summary>
    public async ValueTask<AppendResult> AppendAsync(IReadOnlyList<RawReport> reports, CancellationToken cancellation)
    {
        HubTelemetry.Span span = telemetry.Begin("append");
        AppendResult result = await journal.AppendAsync(reports, cancellation).ConfigureAwait(false);
        telemetry.Appended(span, reports.Count, result);
        if (result is AppendResult.Durable)
        {
            board.Grew(OriginsOf(reports));
        }

        return result;
    }

    /// <summary>Each origin once; nearly always there is one only.</summary>
    private static HashSet<OriginId> OriginsOf(IReadOnlyList<RawReport> reports)
    {
        var origins = new HashSet<OriginId>();
        for (int i = 0; i < reports.Count; i++)
        {
            if (i == 0 || reports[i].Key.Origin != reports[i - 1].Key.Origin)
            {
                origins.Add(reports[i].Key.Origin);
            }
        }

        return origins;
    }

    /// <summary>Writes reports of this hub's own.</summary>
    public ValueTask<OwnAppend> WriteAsync(IReadOnlyList<ReportBody> bodies, CancellationToken cancellation) =>
        WriteAsync([.. bodies.Select(body => (OwnReportEncoder)(_ => Encode(body)))], cancellation);

    /// <summary>Writes a report of this hub's own that depends on where it comes to stand.</summary>
    public ValueTask<OwnAppend> WriteAsync(Func<ReportKey, ReportBody> body, CancellationToken cancellation) =>
        WriteAsync([key => Encode(body(key))], cancellation);

    private async ValueTask<OwnAppend> WriteAsync(OwnReportEncoder[] encoders, CancellationToken cancellation)
    {
        OwnAppend append = await journal.AppendOwnAsync(encoders, cancellation).ConfigureAwait(false);
        if (append.Result is AppendResult.Durable)
        {
            board.Grew([journal.Own]);
        }

        return append;
    }

    /// <summary>The hybrid clock now.</summary>
    public HybridTime Hybrid()
    {
        lock (_gate)
        {
            return _hybrid.Last;
        }
    }

    /// <summary>Takes in a peer's hybrid time.</summary>
    public void Hear(HelloFrame peer)
    {
        DeviceTime now = clocks.Device.Read();
        lock (_gate)
        {
            _hybrid = _hybrid.Receive(peer.Hybrid, now.Wall, out _);
        }
    }

    private ReadOnlyMemory<byte> Encode(ReportBody body)
    {
        DeviceTime now = clocks.Device.Read();
        HybridTime stamp;
        lock (_gate)
        {
            _hybrid = _hybrid.Next(now.Wall);
            stamp = _hybrid.Last;
        }

        return ReportCodec.Encode(stamp, now, body);
    }
}
