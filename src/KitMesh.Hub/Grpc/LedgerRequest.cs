using System.Globalization;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using KitMesh.Domain.State;
using KitMesh.Footage.Ledger;
using NodaTime;
using NodaTime.Text;
using V1 = KitMesh.Protocol.V1;

namespace KitMesh.Hub.Grpc;

/// <summary>A request for the ledger as a query, with what is wrong in it.</summary>
/// <remarks>
/// A page token is the number of clips before the page. Clips come by day, card, path and hash, so that what arrives between
/// two pages can shift a page by as many clips as came before it; whoever needs one moment asks for one with "at".
/// </remarks>
internal static class LedgerRequest
{
    public static LedgerQuery ToQuery(V1.GetLedgerRequest request, LedgerSnapshot snapshot, TripState state)
    {
        if (request.PageSize > LedgerQuery.MaxLimit)
        {
            throw CallRefusedException.Bad("page_size", $"A page has at most {LedgerQuery.MaxLimit} clips.");
        }

        if (request.StillOnCard && request.Card.Length == 0)
        {
            throw CallRefusedException.Bad("still_on_card", "Name the card too.");
        }

        return new LedgerQuery(
            Clip(request.Clip),
            KnownNames.Card(snapshot.Cards.Select(card => card.Card), request.Card),
            Day(request.Day),
            KnownNames.Drive(snapshot.Drives.Select(drive => drive.Drive), request.Drive),
            KnownNames.Case(state, request.Case),
            KnownNames.Source(snapshot.Sources.Concat(state.KitOf<FootageSource>().Select(source => source.Id)), request.Source),
            KnownNames.Team(state, request.Team),
            request.ShortOnly,
            request.StillOnCard,
            Skip(request.PageToken),
            request.PageSize == 0 ? LedgerQuery.DefaultLimit : (int)request.PageSize);
    }

    public static string NextPage(LedgerQuery query, LedgerView view)
    {
        int next = query.Skip + view.Clips.Count;
        return view.Clips.Count > 0 && next < view.ClipsTotal ? next.ToString(CultureInfo.InvariantCulture) : "";
    }

    private static int Skip(string token) =>
        token.Length == 0 ? 0
        : int.TryParse(token, NumberStyles.None, CultureInfo.InvariantCulture, out int skip) ? skip
        : throw CallRefusedException.Bad("page_token", "This is no token of this hub. Leave it empty to start from the first page.");

    private static ClipHash? Clip(string text) =>
        text.Length == 0 ? null
        : ClipHash.TryParse(text, out ClipHash clip) ? clip
        : throw CallRefusedException.Bad("clip", "A clip is 32 hexadecimal digits (XXH3-128).");

    private static LocalDate? Day(string text)
    {
        if (text.Length == 0)
        {
            return null;
        }

        ParseResult<LocalDate> day = LocalDatePattern.Iso.Parse(text);
        return day.Success ? day.Value : throw CallRefusedException.Bad("day", $"\"{text}\" is no day: write it as 2027-02-14.");
    }
}
