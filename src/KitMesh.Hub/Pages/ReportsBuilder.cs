using Google.Protobuf;
using KitMesh.Domain.State;
using KitMesh.Hub.Grpc;
using KitMesh.Hub.Views;
using KitMesh.Storage;
using NodaTime;
using V1 = KitMesh.Protocol.V1;

namespace KitMesh.Hub.Pages;

/// <summary>Gathers what the page "Reports" shows: the same answer as the API's, as a page.</summary>
internal sealed class ReportsBuilder(TripView trip, ReportPages reports)
{
    private const uint PageSize = 50;
    private static readonly JsonFormatter Json = new(JsonFormatter.Settings.Default.WithIndentation());

    /// <summary>The page.</summary>
    /// <param name="asked">What was asked for.</param>
    /// <param name="cancellation">Gives up.</param>
    public async Task<ReportsModel> ReportsAsync(ReportsAsked asked, CancellationToken cancellation)
    {
        TripState state = trip.Merged.State;
        PageHead head = PageHeads.Of(state, trip.Now);
        KeyValuePair<string, long>[] kinds = [.. state.Counts.Select(count => KeyValuePair.Create(count.Key.ToString(), count.Value))];
        try
        {
            var request = new V1.GetReportsRequest { Node = asked.Node.Trim(), OddOnly = asked.OddOnly, PageSize = PageSize, PageToken = asked.From };
            if (asked.Kind.Length > 0)
            {
                request.Kinds.Add(asked.Kind);
            }

            V1.GetReportsResponse answer = await reports.ReadAsync(request, cancellation).ConfigureAwait(false);
            return new ReportsModel(
                head,
                asked,
                kinds,
                [.. answer.Reports.Select(line => Row(line, head.Zone))],
                answer.NextPageToken.Length > 0 ? asked.LinkFrom(answer.NextPageToken) : null,
                null);
        }
        catch (CallRefusedException refused)
        {
            return new ReportsModel(head, asked, kinds, [], null, refused.Message);
        }
        catch (StoreFaultedException)
        {
            return new ReportsModel(head, asked, kinds, [], null, "The store is being rebuilt from the journal. Nothing is lost; look again in a minute.");
        }
    }

    private static ReportRow Row(V1.ReportLine line, Offset zone) => new(
        PageText.Moment(AnswerCodec.Read(line.Time), zone),
        line.Kind,
        line.Origin.Node,
        line.Sequence,
        line.Odd,
        line.Report is null ? "This hub cannot read this kind; it keeps it and passes it on." : Json.Format(line.Report));
}
