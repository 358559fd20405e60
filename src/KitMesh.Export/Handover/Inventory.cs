using KitMesh.Domain;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using KitMesh.Footage.Ledger;
using NodaTime;

namespace KitMesh.Export.Handover;

/// <summary>All footage of a trip at one moment: what is handed over.</summary>
/// <param name="Version">Version of this shape.</param>
/// <param name="Trip">The trip; null when none is declared.</param>
/// <param name="AsOf">The moment.</param>
/// <param name="ZoneOffset">Offset of the crew's civil time from UTC.</param>
/// <param name="Drives">The drives that hold copies, by label.</param>
/// <param name="Clips">The clips by day, card, path and hash.</param>
public sealed record Inventory(
    int Version,
    KitId? Trip,
    Instant AsOf,
    Offset ZoneOffset,
    ValueList<InventoryDrive> Drives,
    ValueList<InventoryClip> Clips)
{
    /// <summary>The version that is written.</summary>
    public const int CurrentVersion = 1;

    /// <summary>The inventory of a ledger.</summary>
    /// <param name="ledger">The ledger.</param>
    public static Inventory Of(LedgerSnapshot ledger)
    {
        Holdings holdings = ledger.Holdings();
        List<InventoryClip> clips = [];
        LedgerView view;
        do
        {
            view = ledger.View(LedgerQuery.All with { Skip = clips.Count, Limit = LedgerQuery.MaxLimit });
            clips.AddRange(view.Clips.Select(Clip));
        }
        while (clips.Count < view.ClipsTotal && view.Clips.Count > 0);

        Dictionary<KitId, int> good = clips
            .SelectMany(clip => clip.Copies.Where(copy => copy.IsGood))
            .GroupBy(copy => copy.Drive)
            .ToDictionary(copies => copies.Key, copies => copies.Count());
        return new Inventory(
            CurrentVersion,
            holdings.Trip?.Id,
            ledger.AsOf,
            holdings.Trip?.ZoneOffset ?? Offset.Zero,
            view.Drives
                .Where(drive => good.ContainsKey(drive.Drive))
                .Select(drive => new InventoryDrive(drive.Drive, drive.Case, drive.Carrier, good[drive.Drive], drive.Doubt))
                .ToValueList(),
            clips.ToValueList());
    }

    private static InventoryClip Clip(ClipRow row) => new(
        row.Clip,
        row.Path,
        row.Card,
        row.Source,
        row.Team,
        row.Day,
        row.Recorded,
        row.Length,
        row.Size,
        row.Damage,
        row.Copies.Select(copy => new InventoryCopy(copy.Drive, copy.Path, copy.Case, copy.Standing, copy.LastProven, copy.Level, copy.Reason)).ToValueList(),
        row.MeetsRule,
        row.Missing)
    {
        Timecode = row.Timecode,
    };
}
