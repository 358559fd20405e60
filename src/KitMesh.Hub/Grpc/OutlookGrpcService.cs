using Grpc.Core;
using KitMesh.Domain;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using KitMesh.Domain.State;
using KitMesh.Domain.Time;
using KitMesh.Footage.Ledger;
using KitMesh.Hub.Ingest;
using KitMesh.Hub.Json;
using KitMesh.Hub.Views;
using NodaTime;
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
        MergedSnapshot merged = await trip.FreshAsync(context.CancellationToken).ConfigureAwait(false);
        KitId? team = KnownNames.Team(merged.State, request.Team);
        var scope = new TeamScope(merged.State, team);
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
            Zone = Zone(merged.State),
            Document = ResultDocument.Of(new
            {
                Energy = answers.Energy is { } energy ? energy with { Banks = banks.ToValueList() } : null,
                answers.Charging,
                answers.Footage,
            }),
        };
        response.Banks.AddRange(banks.Select(AnswerCodec.Write));
        ChargingStep[] steps = [.. (answers.Charging?.Steps ?? []).Where(step => scope.Holds(step.Load))];
        response.Charging.AddRange(steps.Select(AnswerCodec.Write));
        response.ChargingList.AddRange(ChargingWords.Of(steps, ZoneOf(merged.State) ?? Offset.Zero));
        response.Drives.AddRange((answers.Footage?.Drives ?? []).Select(AnswerCodec.Write));
        response.Missing.AddRange(answers.Missing);
        if (answers.Footage is { } footage)
        {
            response.AnyClipLost = AnswerCodec.Write(footage.ByLastDay.AnyLost);
            response.AnyClipLost.Assuming = string.Join("; ", footage.ByLastDay.Assumes);
        }

        return response;
    }

    public override async Task<V1.GetLedgerResponse> GetLedger(V1.GetLedgerRequest request, ServerCallContext context)
    {
        TripState state = (await trip.FreshAsync(context.CancellationToken).ConfigureAwait(false)).State;
        LedgerSnapshot snapshot = request.At is { } at
            ? trip.LedgerOf(AnswerCodec.Read(at))
            : await trip.LedgerAsync(context.CancellationToken).ConfigureAwait(false);
        LedgerQuery query = LedgerRequest.ToQuery(request, snapshot, state);
        LedgerView view = snapshot.View(query);
        CardRow[] cards = [.. view.Cards.Where(card => (query.Card is null || card.Card == query.Card) && (query.Team is null || card.Team == query.Team))];
        var response = new V1.GetLedgerResponse
        {
            AsOf = AnswerCodec.Write(view.AsOf),
            StateFingerprint = StateFingerprint.Of(state).ToString(),
            Clips = (uint)view.ClipsTotal,
            Bytes = (long)view.SizeTotal.Value,
            ClipsMet = (uint)view.ClipsMet,
            BadNews = cards.Any(card => card.State == CardState.FormattedShort || (card.State == CardState.OnHold && card.Evening < view.AsOf)),
            Zone = Zone(state),
            NextPageToken = LedgerRequest.NextPage(query, view),
            Document = ResultDocument.Of(view),
        };
        response.Cards.AddRange(cards.Select(AnswerCodec.Write));
        return response;
    }

    public override async Task<V1.GetAdviceResponse> GetAdvice(V1.GetAdviceRequest request, ServerCallContext context)
    {
        TripState state = (await trip.FreshAsync(context.CancellationToken).ConfigureAwait(false)).State;
        var scope = new TeamScope(state, KnownNames.Team(state, request.Team));
        AdviceList advice = await trip.AdviceAsync(context.CancellationToken).ConfigureAwait(false);
        advice = advice with { Items = advice.Items.Where(item => scope.Holds(item.Subject)).ToValueList() };
        var response = new V1.GetAdviceResponse { AsOf = AnswerCodec.Write(advice.AsOf), Zone = Zone(state), Document = ResultDocument.Of(advice) };
        response.Advice.AddRange(advice.Items.Select((item, i) => AnswerCodec.Write(item, i + 1)));
        return response;
    }

    public override async Task<V1.GetAlertsResponse> GetAlerts(V1.GetAlertsRequest request, ServerCallContext context)
    {
        TripState state = (await trip.FreshAsync(context.CancellationToken).ConfigureAwait(false)).State;
        KitId? subject = KnownNames.Any("subject", request.Subject);
        var scope = new TeamScope(state, KnownNames.Team(state, request.Team));
        IReadOnlyList<StandingAlert> standing = await alerts.StandingAsync(context.CancellationToken).ConfigureAwait(false);
        var response = new V1.GetAlertsResponse { AsOf = AnswerCodec.Write(trip.Now), Zone = Zone(state) };
        response.Alerts.AddRange(standing
            .Where(alert => (subject is null || alert.Alert.Subject == subject) && scope.Holds(alert.Alert.Subject))
            .Select(alert => AnswerCodec.Write(alert.Alert, alert.RaisedBy?.Value ?? "")));
        return response;
    }

    public override Task<V1.GetReportsResponse> GetReports(V1.GetReportsRequest request, ServerCallContext context) =>
        reports.ReadAsync(request, context.CancellationToken);

    public override Task<V1.GetStatusResponse> GetStatus(V1.GetStatusRequest request, ServerCallContext context) => status.ReadAsync(context.CancellationToken);

    private static string Zone(TripState state) => ZoneOf(state) is { } zone ? CrewTime.ShowZone(zone) : "";

    private static Offset? ZoneOf(TripState state) => state.KitOf<Trip>().FirstOrDefault()?.ZoneOffset;
}
