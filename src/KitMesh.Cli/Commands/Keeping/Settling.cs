using System.Text.Json.Nodes;
using KitMesh.Cli.Asking;
using KitMesh.Cli.Frame;
using KitMesh.Protocol.V1;

namespace KitMesh.Cli.Commands.Keeping;

/// <summary>Waits until a hub's ledger has taken in what it just wrote down: durable comes first, merged a moment later.</summary>
internal static class Settling
{
    private const int MostLooks = 50;
    private static readonly TimeSpan Between = TimeSpan.FromMilliseconds(100);

    /// <summary>Waits until the hub has merged all that it holds, at most five seconds, and then asks.</summary>
    /// <param name="hub">The hub.</param>
    /// <param name="run">Clock and stop.</param>
    /// <param name="request">What to ask.</param>
    /// <returns>The answer's document.</returns>
    public static async Task<JsonObject> WaitUntilMergedAsync(HubClient hub, CommandRun run, GetLedgerRequest request)
    {
        for (int look = 1; look < MostLooks && !IsMerged(await hub.StatusAsync()); look++)
        {
            await Task.Delay(Between, run.Surroundings.Machine, run.Stop);
        }

        GetLedgerResponse answer = await hub.LedgerAsync(request);
        return AnswerJson.Of(answer, answer.Document);
    }

    // The count of the merged state is taken before what is on disk: what was written before the question is among both.
    private static bool IsMerged(GetStatusResponse status) =>
        status.Reports >= (ulong)status.Origins.Sum(origin => origin.Ranges.Sum(range => (long)(range.Last - range.First + 1)));

    /// <summary>Asks until the answer shows it, at most five seconds.</summary>
    /// <param name="hub">The hub.</param>
    /// <param name="run">Clock and stop.</param>
    /// <param name="request">What to ask.</param>
    /// <param name="shows">Whether an answer shows it.</param>
    /// <returns>The last answer's document, whether it shows it or not.</returns>
    public static async Task<JsonObject> WaitAsync(HubClient hub, CommandRun run, GetLedgerRequest request, Func<JsonObject, bool> shows)
    {
        for (int look = 1; ; look++)
        {
            GetLedgerResponse answer = await hub.LedgerAsync(request);
            JsonObject document = AnswerJson.Of(answer, answer.Document);
            if (shows(document) || look == MostLooks)
            {
                return document;
            }

            await Task.Delay(Between, run.Surroundings.Machine, run.Stop);
        }
    }
}
