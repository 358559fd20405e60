using System.Text.Json.Nodes;
using KitMesh.Cli.Asking;
using KitMesh.Domain.Reports;
using KitMesh.Protocol.V1;

namespace KitMesh.Cli.Commands.Keeping;

/// <summary>Finds a card in a ledger's document.</summary>
internal static class CardDocument
{
    public static JsonObject? Find(GetLedgerResponse ledger, KitId card) => Find(AnswerJson.Of(ledger, ledger.Document), card);

    public static JsonObject? Find(JsonObject document, KitId card) =>
        (document["cards"] as JsonArray ?? []).OfType<JsonObject>().FirstOrDefault(row => row["card"]?.ToString() == card.Value);

    /// <summary>Documents write enum names in camel case or as they are; both are read.</summary>
    public static bool IsState(string? text, string state) => string.Equals(text, state, StringComparison.OrdinalIgnoreCase);
}
