using System.Globalization;
using System.Text.Json.Nodes;
using KitMesh.Cli.Asking;
using KitMesh.Cli.Frame;
using KitMesh.Domain;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using KitMesh.Export.Handover;
using KitMesh.Protocol.V1;
using NodaTime;
using NodaTime.Text;
using ReadBackLevel = KitMesh.Domain.Reports.ReadBackLevel;

namespace KitMesh.Cli.Commands.Export;

/// <summary>Asks a hub for its whole ledger and makes an inventory of it: what the hub holds for proof is what is handed over as proof.</summary>
internal static class InventoryReader
{
    public static async Task<Inventory> ReadAsync(HubClient hub, string trip)
    {
        (GetLedgerResponse first, JsonArray clips) = await LedgerPages.WholeAsync(hub);
        InventoryClip[] read = [.. clips.OfType<JsonObject>().Select(Clip)];
        ILookup<KitId, InventoryCopy> good = read.SelectMany(clip => clip.Copies.Where(copy => copy.IsGood)).ToLookup(copy => copy.Drive);
        JsonObject document = AnswerJson.Of(first, first.Document);
        return new Inventory(
            Inventory.CurrentVersion,
            Name(trip),
            Instant.FromUnixTimeSeconds(first.AsOf.Seconds) + Duration.FromNanoseconds(first.AsOf.Nanos),
            first.Zone.Length == 0 ? Offset.Zero : OffsetPattern.GeneralInvariantWithZ.Parse(first.Zone).Value,
            (document["drives"] as JsonArray ?? []).OfType<JsonObject>()
                .Select(drive => (Row: drive, Drive: KitId.Parse(Text(drive, "drive")!)))
                .Where(drive => good.Contains(drive.Drive))
                .Select(drive => new InventoryDrive(drive.Drive, Name(Text(drive.Row, "case")), Name(Text(drive.Row, "carrier")), good[drive.Drive].Count(), Text(drive.Row, "doubt")))
                .ToValueList(),
            read.ToValueList());
    }

    private static InventoryClip Clip(JsonObject row) => new(
        ClipHash.TryParse(Text(row, "clip"), out ClipHash hash) ? hash : throw new CommandFault(ExitCode.Internal, $"The hub named a clip \"{row["clip"]}\"."),
        Text(row, "path") ?? "",
        KitId.Parse(Text(row, "card")!),
        Name(Text(row, "source")),
        Name(Text(row, "team")),
        LocalDatePattern.Iso.Parse(Text(row, "day")!).Value,
        Time(row, "recorded"),
        Number(row, "length") is { } seconds ? Duration.FromSeconds(seconds) : null,
        new ByteCount((long)(Number(row, "size") ?? -1)),
        Text(row, "damage"),
        (row["copies"] as JsonArray ?? []).OfType<JsonObject>().Select(Copy).ToValueList(),
        row["meetsRule"]?.GetValue<bool>() ?? false,
        Text(row, "missing"));

    private static InventoryCopy Copy(JsonObject row) => new(
        KitId.Parse(Text(row, "drive")!),
        Text(row, "path") ?? "",
        Name(Text(row, "case")),
        Enum.TryParse(Text(row, "standing"), ignoreCase: true, out CopyStanding standing) ? standing : CopyStanding.Odd,
        Time(row, "lastProven"),
        Enum.TryParse(Text(row, "level"), ignoreCase: true, out ReadBackLevel level) ? level : null,
        Text(row, "reason"));

    private static string? Text(JsonObject row, string name) => row[name]?.ToString();

    private static KitId? Name(string? text) => text is { Length: > 0 } ? KitId.Parse(text) : null;

    private static Instant? Time(JsonObject row, string name) =>
        Text(row, name) is { } text && InstantPattern.ExtendedIso.Parse(text) is { Success: true } time ? time.Value : null;

    private static double? Number(JsonObject row, string name) =>
        double.TryParse(Text(row, name), NumberStyles.Float, CultureInfo.InvariantCulture, out double value) ? value : null;
}
