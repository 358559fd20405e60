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

    /// <summary>Asks until the state is another one than before, at most five seconds, and then once more: the ledger follows the state.</summary>
    /// <param name="hub">The hub.</param>
    /// <param name="run">Clock and stop.</param>
    /// <param name="before">The state's fingerprint before the report was written.</param>
    /// <param name="request">What to ask.</param>
    /// <returns>The last answer's document.</returns>
    public static async Task<JsonObject> WaitForChangeAsync(HubClient hub, CommandRun run, string before, GetLedgerRequest request)
    {
        for (int look = 1; look < MostLooks; look++)
        {
            if ((await hub.LedgerAsync(request)).StateFingerprint != before)
            {
                break;
            }

            await Task.Delay(Between, run.Surroundings.Machine, run.Stop);
        }

        GetLedgerResponse answer = await hub.LedgerAsync(request);
        return AnswerJson.Of(answer, answer.Document);
    }

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
