using System.Text.Json.Nodes;
using KitMesh.Cli.Frame;
using KitMesh.Protocol.V1;

namespace KitMesh.Cli.Asking;

/// <summary>Asks for a ledger page by page, up to as many clips as are wanted.</summary>
internal static class LedgerPages
{
    private const int PageSize = 5_000;
    private const int MostTries = 5;

    /// <summary>The whole ledger of one state: asked again when a report came between two pages.</summary>
    /// <param name="hub">The hub.</param>
    /// <exception cref="CommandFault">Reports kept coming.</exception>
    public static async Task<(GetLedgerResponse First, JsonArray Clips)> WholeAsync(HubClient hub)
    {
        for (int attempt = 0; attempt < MostTries; attempt++)
        {
            (GetLedgerResponse first, JsonArray clips) = await AskAsync(hub, new GetLedgerRequest(), int.MaxValue);
            GetLedgerResponse after = await hub.LedgerAsync(new GetLedgerRequest { PageSize = 1 });
            if (after.StateFingerprint == first.StateFingerprint)
            {
                return (first, clips);
            }
        }

        throw new CommandFault(ExitCode.HubUnreachable, "Reports kept arriving while the ledger was read.", "Try again when stations and agents are quiet. Nothing was written.");
    }

    /// <summary>The first answer, and the clips of all pages.</summary>
    /// <param name="hub">The hub.</param>
    /// <param name="request">What is asked.</param>
    /// <param name="most">The most clips; 0 for none.</param>
    public static async Task<(GetLedgerResponse First, JsonArray Clips)> AskAsync(HubClient hub, GetLedgerRequest request, int most)
    {
        GetLedgerResponse? first = null;
        var clips = new JsonArray();
        do
        {
            request.PageSize = (uint)Math.Clamp(most - clips.Count, 1, PageSize);
            GetLedgerResponse page = await hub.LedgerAsync(request);
            first ??= page;
            JsonArray listed = AnswerJson.Of(page, page.Document)["clips"] as JsonArray ?? [];
            foreach (JsonNode? clip in listed.Take(most - clips.Count))
            {
                clips.Add(clip?.DeepClone());
            }

            request.PageToken = page.NextPageToken;
        }
        while (request.PageToken.Length > 0 && clips.Count < most);

        return (first, clips);
    }
}
