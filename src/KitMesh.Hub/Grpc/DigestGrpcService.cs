using Grpc.Core;
using KitMesh.Domain.Digest;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using KitMesh.Domain.State;
using KitMesh.Hub.Digests;
using KitMesh.Hub.Ingest;
using KitMesh.Hub.Views;
using KitMesh.Sync.Journal;
using NodaTime;
using V1 = KitMesh.Protocol.V1;

namespace KitMesh.Hub.Grpc;

/// <summary>Digest lines out and in.</summary>
internal sealed class DigestGrpcService(TripView trip, AlertView alerts, ReportIntake intake) : V1.DigestService.DigestServiceBase
{
    private const int MaxTyped = 1_000;
    private const int MaxAuthor = 100;
    private static readonly LedgerQuery NoClips = new(Limit: 0);

    public override async Task<V1.PackDigestResponse> PackDigest(V1.PackDigestRequest request, ServerCallContext context)
    {
        TripState state = (await trip.FreshAsync(context.CancellationToken).ConfigureAwait(false)).State;
        KitId team = TeamOf(request.Team, state);
        DigestSize size = request.Size == 0 ? DigestSize.Radio51 : (DigestSize)request.Size;
        if (!Enum.IsDefined(size))
        {
            throw CallRefusedException.Bad("size", "A line has at most 51, 140, 160 or 340 symbols: give one of these.");
        }

        TripAnswers answers = await trip.OutlooksAsync(context.CancellationToken).ConfigureAwait(false);
        LedgerView ledger = (await trip.LedgerAsync(context.CancellationToken).ConfigureAwait(false)).View(NoClips);
        IReadOnlyList<StandingAlert> standing = await alerts.StandingAsync(context.CancellationToken).ConfigureAwait(false);
        DigestContent content = DigestDesk.Gather(team, state, answers, ledger, [.. standing.Select(alert => alert.Alert)], trip.Now);
        string line = DigestLine.Write(content, size);
        DigestContent told = ((DigestReading.Read)DigestLine.Read(line)).Content;
        DigestNames names = HeardBoard.Names(state);
        var response = new V1.PackDigestResponse
        {
            Line = line,
            Grouped = DigestLine.Grouped(line),
            Team = team.Value,
            MadeAt = AnswerCodec.Write(told.MadeAt),
        };
        response.Words.AddRange(DigestWords.Of(told, names));
        response.Remarks.AddRange(answers.Missing);
        response.Remarks.AddRange(names.Confusions().Select(pair => $"A line cannot tell {pair} apart: rename one of them."));
        return response;
    }

    public override async Task<V1.HearDigestResponse> HearDigest(V1.HearDigestRequest request, ServerCallContext context)
    {
        if (request.Line.Length > MaxTyped || request.Author.Length > MaxAuthor)
        {
            throw CallRefusedException.Bad("line", "No line has more than 340 symbols, and no author's name more than 100 characters.");
        }

        if (DigestLine.Read(request.Line) is not DigestReading.Read read)
        {
            throw CallRefusedException.Bad("line", ((DigestReading.Refused)DigestLine.Read(request.Line)).Reason);
        }

        var heard = new DigestHeard(read.Line, request.Author);
        OwnAppend append = await intake.WriteAsync([heard], context.CancellationToken).ConfigureAwait(false);
        if (append.Result is not AppendResult.Durable)
        {
            throw CallRefusedException.Unavailable("The hub's disk failed, so the line was not kept; keep it and type it again.");
        }

        Instant now = trip.Now;
        HeardNews news = HeardBoard.Show(heard, now, read.Content, HeardBoard.Names(trip.Merged.State), now);
        return new V1.HearDigestResponse { Heard = Write(news, now) };
    }

    public override async Task<V1.ListDigestsResponse> ListDigests(V1.ListDigestsRequest request, ServerCallContext context)
    {
        TripState state = (await trip.FreshAsync(context.CancellationToken).ConfigureAwait(false)).State;
        Instant now = trip.Now;
        var response = new V1.ListDigestsResponse { AsOf = AnswerCodec.Write(now) };
        response.Digests.AddRange(HeardBoard.Of(state, now).Select(news => Write(news, now)));
        return response;
    }

    private static KitId TeamOf(string asked, TripState state)
    {
        KitId[] teams = [.. state.KitOf<Team>().Select(team => team.Id)];
        if (asked.Length > 0)
        {
            return teams.Any(team => team.Value == asked)
                ? KitId.Parse(asked)
                : throw CallRefusedException.Bad("team", $"There is no team \"{asked}\". Declared: {(teams.Length == 0 ? "none" : string.Join(", ", teams))}.");
        }

        return teams.Length switch
        {
            1 => teams[0],
            0 => throw CallRefusedException.Bad("team", "No team is declared: start the hub with a trip file."),
            _ => throw CallRefusedException.Bad("team", $"A line is for one team. Name one of: {string.Join(", ", teams)}."),
        };
    }

    private static V1.HeardDigest Write(HeardNews news, Instant now)
    {
        var heard = new V1.HeardDigest
        {
            Line = news.Line,
            Team = news.Team,
            MadeAt = AnswerCodec.Write(news.MadeAt),
            HeardAt = AnswerCodec.Write(news.HeardAt),
            Author = news.Author,
            AgeSeconds = (long)(now - news.MadeAt).TotalSeconds,
            Age = news.Age,
        };
        heard.Words.AddRange(news.Words);
        return heard;
    }
}
