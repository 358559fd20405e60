using KitMesh.Domain.Exchange;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Reports;
using KitMesh.Domain.State;
using KitMesh.Hub.Ingest;
using KitMesh.Hub.Links;
using KitMesh.Hub.Views;
using KitMesh.Protocol.Exchange;
using KitMesh.Storage;
using KitMesh.Storage.Queries;
using KitMesh.Sync.Journal;
using KitMesh.Sync.Session;
using NodaTime;
using NodaTime.Text;
using V1 = KitMesh.Protocol.V1;

namespace KitMesh.Hub.Grpc;

/// <summary>What the hub is and holds.</summary>
internal sealed class StatusReport(ReportIntake intake, MergedView view, StoreKeeper keeper, LinkBook links, HubOptions options, HubClocks clocks)
{
    /// <summary>The status now.</summary>
    public async Task<V1.GetStatusResponse> ReadAsync(CancellationToken cancellation)
    {
        TripState state = (await view.FreshAsync(cancellation).ConfigureAwait(false)).State;
        IReadOnlyList<OriginHolding> holdings = intake.Journal.Have();
        var answer = new V1.GetStatusResponse
        {
            Node = options.Node.Value,
            Version = typeof(StatusReport).Assembly.GetName().Version?.ToString(3) ?? "",
            Now = AnswerCodec.Write(clocks.World.GetCurrentInstant()),
            LowestProtocol = ProtocolVersions.Lowest,
            HighestProtocol = ProtocolVersions.Highest,
            FoldVersion = TripState.FoldVersion,
            StateFingerprint = StateFingerprint.Of(state).ToString(),
            HoldingsFingerprint = HoldingsFingerprint.Of(holdings).ToString(),
            Reports = (ulong)state.Counts.Values.Sum(),
            JournalBytes = BytesIn(Path.Combine(options.DataFolder, "journal")),
            StoreBytes = await StoreBytesAsync(cancellation).ConfigureAwait(false),
            Trip = state.KitOf<Trip>().FirstOrDefault()?.Id.Value ?? "",
        };
        answer.Kinds.AddRange(state.Counts.Select(count => new V1.KindCount { Kind = count.Key.ToString(), Count = (ulong)count.Value }));
        answer.Teams.AddRange(TeamNews.Of(state, clocks.World.GetCurrentInstant()).Select(Write));
        answer.Links.AddRange(links.Declared.Select(Write));
        Dictionary<OriginId, Watermark> marks = await MarksAsync(cancellation).ConfigureAwait(false);
        answer.Origins.AddRange(holdings.Select(holding => Status(holding, marks.GetValueOrDefault(holding.Origin))));
        return answer;
    }

    private static V1.TeamNews Write(TeamNews news)
    {
        var answer = new V1.TeamNews { Team = news.Team.Value, Node = news.Node?.Value ?? "", AgeSeconds = (long)(news.Age?.TotalSeconds ?? 0) };
        if (news.LastHeard is { } heard)
        {
            answer.LastHeard = AnswerCodec.Write(heard);
        }

        return answer;
    }

    private V1.LinkStatus Write(HubLink link)
    {
        bool isDialledHere = link.From == options.Node;
        NodeId peer = isDialledHere ? link.To : link.From;
        var answer = new V1.LinkStatus { Peer = peer.Value, DialledHere = isDialledHere, Thin = link.IsThin, OpenFor = "all" };
        if (link.BytesPerDay is not null && links.MeterOf(peer) is { } meter)
        {
            (LocalDate day, long bytes) = meter.Today;
            answer.BudgetBytes = meter.BudgetBytes;
            answer.BytesToday = bytes;
            answer.Day = LocalDatePattern.Iso.Format(day);
            answer.OpenFor = meter switch { { HasRoom: false } => "nothing", { HasRoomForReadings: false } => "urgent", _ => "all" };
        }

        return answer;
    }

    private static V1.OriginStatus Status(OriginHolding holding, Watermark? mark)
    {
        var status = new V1.OriginStatus { Origin = OriginCodec.Write(holding.Origin), Forks = (ulong)(mark?.Forks ?? 0) };
        status.Ranges.AddRange(RangesCodec.Write(holding.Ranges));
        if (mark is not null)
        {
            status.Newest = AnswerCodec.Write(mark.Newest);
            status.LastHeard = AnswerCodec.Write(mark.LastArrival);
        }

        return status;
    }

    private async Task<Dictionary<OriginId, Watermark>> MarksAsync(CancellationToken cancellation)
    {
        try
        {
            return (await keeper.Store.ReadWatermarksAsync(cancellation).ConfigureAwait(false)).ToDictionary(mark => mark.Origin);
        }
        catch (StoreFaultedException)
        {
            // The journal answers what is held; only the times are missing until the store is back.
            return [];
        }
    }

    private async Task<long> StoreBytesAsync(CancellationToken cancellation)
    {
        try
        {
            return await keeper.Store.SizeAsync(cancellation).ConfigureAwait(false);
        }
        catch (StoreFaultedException)
        {
            return 0; // Said in the proto: it is not known while the store is being rebuilt or its database is away.
        }
    }

    private static long BytesIn(string folder) =>
        Directory.Exists(folder) ? new DirectoryInfo(folder).EnumerateFiles("*", SearchOption.AllDirectories).Sum(file => file.Length) : 0;
}
