using KitMesh.Domain;
using KitMesh.Domain.Reports;
using KitMesh.Hub.Ingest;
using KitMesh.Protocol.Exchange;
using KitMesh.Protocol.Reports;
using KitMesh.Storage;
using KitMesh.Storage.Queries;
using NodaTime;
using V1 = KitMesh.Protocol.V1;

namespace KitMesh.Hub.Grpc;

/// <summary>Answers questions for the reports themselves.</summary>
internal sealed class ReportPages(StoreKeeper keeper, MergedView view)
{
    private const int DefaultSize = 100;
    private const int MaxSize = 1_000;

    /// <summary>Pages of the store that one call looks through for reports of a node, or odd ones: a rare thing is found over several calls.</summary>
    private const int MaxLooks = 20;

    /// <summary>One page, newest first.</summary>
    public async Task<V1.GetReportsResponse> ReadAsync(V1.GetReportsRequest request, CancellationToken cancellation)
    {
        int size = request.PageSize == 0 ? DefaultSize : (int)Math.Min(request.PageSize, int.MaxValue);
        if (size > MaxSize)
        {
            throw CallRefusedException.Bad("page_size", $"A page has at most {MaxSize} reports.");
        }

        await view.FreshAsync(cancellation).ConfigureAwait(false);
        ReportQuery query = ToQuery(request, size);
        NodeId? node = request.Node.Length == 0 ? null : Node(request.Node);
        var answer = new V1.GetReportsResponse();
        for (int look = 0; look < MaxLooks; look++)
        {
            ReportPage page = await keeper.Store.ReadAsync(query, cancellation).ConfigureAwait(false);
            int looked = 0;
            for (; looked < page.Reports.Count && answer.Reports.Count < size; looked++)
            {
                if (Line(page.Reports[looked], node, request.OddOnly) is { } line)
                {
                    answer.Reports.Add(line);
                }
            }

            if (page.Next is null && looked == page.Reports.Count)
            {
                return answer;
            }

            query = query with { After = PagePosition.Of(page.Reports[looked - 1]) };

            if (answer.Reports.Count == size)
            {
                break;
            }
        }

        answer.NextPageToken = query.After is { } after ? PageToken.Write(after) : "";
        return answer;
    }

    private V1.ReportLine? Line(KeptReport kept, NodeId? node, bool oddOnly)
    {
        Report report = ReportCodec.Decode(kept.Raw);
        string? odd = ReportOddity.Of(report);
        if ((node is { } only && report.Key.Origin.Node != only) || (oddOnly && odd is null))
        {
            return null;
        }

        var line = new V1.ReportLine
        {
            Origin = OriginCodec.Write(report.Key.Origin),
            Sequence = report.Key.Sequence,
            Time = AnswerCodec.Write(kept.Time),
            Trust = Protocol.ClockCodec.Write(view.TrustOf(report)),
            Kind = report.Body.Kind.ToString(),
            Odd = odd ?? "",
            ContentHash = Sha256Hash.Of(kept.Raw.Bytes.Span).ToString(),
        };
        if (report.Body is not UnknownBody)
        {
            line.Report = ReportCodec.ToMessage(report.Hybrid, report.Written, report.Body);
        }

        return line;
    }

    private static ReportQuery ToQuery(V1.GetReportsRequest request, int size)
    {
        ValueList<ReportKind>? kinds = request.Kinds.Count == 0 ? null : request.Kinds.Select(Kind).ToValueList();
        KitId? subject = null;
        if (request.Subject.Length > 0)
        {
            subject = KitId.TryParse(request.Subject, out KitId id) ? id : throw CallRefusedException.Bad("subject", "A subject has 1 to 100 printable characters.");
        }

        return new ReportQuery(
            kinds,
            subject,
            request.From is { } from ? AnswerCodec.Read(from) : (Instant?)null,
            request.Until is { } until ? AnswerCodec.Read(until) : (Instant?)null,
            PageToken.Read(request.PageToken),
            size,
            NewestFirst: true);
    }

    private static ReportKind Kind(string name) => Enum.TryParse(name, ignoreCase: false, out ReportKind kind) && Enum.IsDefined(kind)
        ? kind
        : throw CallRefusedException.Bad("kinds", $"There is no kind \"{name}\". Known: {string.Join(", ", Enum.GetNames<ReportKind>())}.");

    private static NodeId Node(string name) => NodeId.TryParse(name, out NodeId node)
        ? node
        : throw CallRefusedException.Bad("node", $"\"{name}\" is no node: use 1 to 63 characters of a-z, 0-9 and inner hyphens.");
}
