using Grpc.Core;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using KitMesh.Domain.State;
using KitMesh.Footage.Ledger;
using KitMesh.Hub.Ingest;
using KitMesh.Hub.Json;
using KitMesh.Hub.Views;
using V1 = KitMesh.Protocol.V1;

namespace KitMesh.Hub.Grpc;

/// <summary>What the reports mean.</summary>
internal sealed class OutlookGrpcService(TripView trip, AlertView alerts, ReportPages reports, StatusReport status) : V1.OutlookService.OutlookServiceBase
{
    /// <summary>A chance of running short above this is bad news.</summary>
    private const double ShortLimit = 0.1;

    private const uint LeastPaths = 1_000;
    private const uint MostPaths = 100_000;

    public override async Task<V1.GetOutlookResponse> GetOutlook(V1.GetOutlookRequest request, ServerCallContext context)
    {
        KitId? team = Id("team", request.Team);
        MergedSnapshot merged = trip.Merged;
        if (request.Paths is > 0 and (< LeastPaths or > MostPaths))
        {
            throw CallRefusedException.Bad("paths", $"Use {LeastPaths} to {MostPaths} paths, or 0 for the hub's own number.");
        }

        TripAnswers answers = await trip.OutlooksAsync(request.Seed, (int)request.Paths, context.CancellationToken).ConfigureAwait(false);
        BankOutlook[] banks = [.. (answers.Energy?.Banks ?? []).Where(bank => team is null || bank.Team == team)];
        var response = new V1.GetOutlookResponse
        {
            AsOf = AnswerCodec.Write(answers.Energy?.AsOf ?? answers.Footage?.AsOf ?? trip.Now),
            StateFingerprint = StateFingerprint.Of(merged.State).ToString(),
            BadNews = banks.Any(bank => bank.ShortByLastDay.Best.Value > ShortLimit)
                || answers.Footage is { Shortfalls.Count: > 0 },
            Document = ResultDocument.Of(new { answers.Energy, answers.Charging, answers.Footage }),
        };
        response.Banks.AddRange(banks.Select(AnswerCodec.Write));
        response.Charging.AddRange((answers.Charging?.Steps ?? []).Select(AnswerCodec.Write));
        response.Drives.AddRange((answers.Footage?.Drives ?? []).Select(AnswerCodec.Write));
        response.Missing.AddRange(answers.Missing);
        if (answers.Footage is { } footage)
        {
            response.AnyClipLost = AnswerCodec.Write(footage.ByLastDay.AnyLost);
        }

        return response;
    }

    public override async Task<V1.GetLedgerResponse> GetLedger(V1.GetLedgerRequest request, ServerCallContext context)
    {
        var query = new LedgerQuery(Card: Id("card", request.Card), Team: Id("team", request.Team));
        LedgerSnapshot snapshot = await trip.LedgerAsync(context.CancellationToken).ConfigureAwait(false);
        LedgerView view = snapshot.View(query);
        CardRow[] cards = [.. view.Cards.Where(card => (query.Card is null || card.Card == query.Card) && (query.Team is null || card.Team == query.Team))];
        var response = new V1.GetLedgerResponse
        {
            AsOf = AnswerCodec.Write(view.AsOf),
            StateFingerprint = StateFingerprint.Of(trip.Merged.State).ToString(),
            Clips = (uint)view.ClipsTotal,
            Bytes = (long)view.SizeTotal.Value,
            ClipsMet = (uint)view.ClipsMet,
            BadNews = cards.Any(card => card.State == CardState.FormattedShort || (card.State == CardState.OnHold && card.Evening < view.AsOf)),
            Document = ResultDocument.Of(view),
        };
        response.Cards.AddRange(cards.Select(AnswerCodec.Write));
        return response;
    }

    public override async Task<V1.GetAdviceResponse> GetAdvice(V1.GetAdviceRequest request, ServerCallContext context)
    {
        Id("team", request.Team);
        AdviceList advice = await trip.AdviceAsync(context.CancellationToken).ConfigureAwait(false);
        var response = new V1.GetAdviceResponse { AsOf = AnswerCodec.Write(advice.AsOf), Document = ResultDocument.Of(advice) };
        response.Advice.AddRange(advice.Items.Select((item, i) => AnswerCodec.Write(item, i + 1)));
        return response;
    }

    public override async Task<V1.GetAlertsResponse> GetAlerts(V1.GetAlertsRequest request, ServerCallContext context)
    {
        KitId? subject = Id("subject", request.Subject);
        IReadOnlyList<StandingAlert> standing = await alerts.StandingAsync(context.CancellationToken).ConfigureAwait(false);
        var response = new V1.GetAlertsResponse { AsOf = AnswerCodec.Write(trip.Now) };
        response.Alerts.AddRange(standing
            .Where(alert => subject is null || alert.Alert.Subject == subject)
            .Select(alert => AnswerCodec.Write(alert.Alert, alert.RaisedBy?.Value ?? "")));
        return response;
    }

    public override Task<V1.GetReportsResponse> GetReports(V1.GetReportsRequest request, ServerCallContext context) =>
        reports.ReadAsync(request, context.CancellationToken);

    public override Task<V1.GetStatusResponse> GetStatus(V1.GetStatusRequest request, ServerCallContext context) => status.ReadAsync(context.CancellationToken);

    private static KitId? Id(string field, string text)
    {
        if (text.Length == 0)
        {
            return null;
        }

        return KitId.TryParse(text, out KitId id) ? id : throw CallRefusedException.Bad(field, "A name has 1 to 100 printable characters.");
    }
}
