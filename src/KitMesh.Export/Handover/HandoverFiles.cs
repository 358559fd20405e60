using System.Text;
using KitMesh.Domain;
using KitMesh.Domain.Reports;
using KitMesh.Footage.Manifests;
using NodaTime;

namespace KitMesh.Export.Handover;

/// <summary>
/// Everything that is handed over beside the drives: inventory, a sheet a day, an ASC MHL history a drive, and a list of
/// hashes over all of it.
/// </summary>
/// <remarks>
/// The histories here are made from the ledger, for the receiver and for other programs; the ones that stations wrote lie on
/// the drives themselves. <see cref="HandoverSeal"/> lets the receiver see that nothing of this was altered.
/// </remarks>
public static class HandoverFiles
{
    private static readonly string Version = typeof(HandoverFiles).Assembly.GetName().Version?.ToString(3) ?? "0";

    /// <summary>The files.</summary>
    /// <param name="inventory">What is handed over.</param>
    /// <param name="created">The moment, for the histories.</param>
    /// <param name="host">Name of the machine.</param>
    public static IReadOnlyList<HandoverFile> Of(Inventory inventory, Instant created, string host)
    {
        List<HandoverFile> files =
        [
            new(InventoryJson.FileName, InventoryJson.Write(inventory)),
            new(InventoryCsv.FileName, Encoding.UTF8.GetBytes(InventoryCsv.Write(inventory))),
            .. inventory.Clips.Select(clip => clip.Day).Distinct().Order().Select(day =>
                new HandoverFile(DaySheet.FileName(day), Encoding.UTF8.GetBytes(DaySheet.Write(inventory, day)))),
            .. Histories(inventory, created, host),
            new("README.txt", Encoding.UTF8.GetBytes(Readme(inventory))),
        ];
        files.Add(new HandoverFile(HandoverSeal.FileName, HandoverSeal.Write(files)));
        return files;
    }

    private static IEnumerable<HandoverFile> Histories(Inventory inventory, Instant created, string host)
    {
        HashSet<string> folders = new(StringComparer.OrdinalIgnoreCase);
        foreach (InventoryDrive drive in inventory.Drives)
        {
            ValueList<MhlEntry> entries = inventory.Clips
                .SelectMany(clip => clip.Copies.Where(copy => copy.Drive == drive.Drive && copy.IsGood && MhlManifest.IsPathAllowed(copy.Path)).Select(copy => Entry(clip, copy)))
                .GroupBy(entry => entry.Path, StringComparer.Ordinal)
                .Where(same => same.Count() == 1)
                .Select(same => same.First())
                .OrderBy(entry => entry.Path, StringComparer.Ordinal)
                .ToValueList();
            if (entries.Count == 0)
            {
                continue;
            }

            string name = Folder(drive.Drive, folders);
            yield return new HandoverFile($"drives/{name}/xxh128.txt", Encoding.UTF8.GetBytes(HashList(entries)));
            byte[] manifest = MhlXml.Write(new MhlManifest(created, host, "KitMesh", Version, MhlProcess.InPlace, MhlManifest.StandardIgnored, entries, []));
            string file = MhlManifest.FileName(1, name, created);
            yield return new HandoverFile($"drives/{name}/{MhlManifest.Folder}/{file}", manifest);
            yield return new HandoverFile(
                $"drives/{name}/{MhlManifest.Folder}/{MhlManifest.ChainFile}",
                MhlXml.WriteChain([new MhlReference(file, C4Id.Of(manifest))]));
        }
    }

    /// <summary>The form that <c>xxhsum -c</c> reads: hash, two blanks, path; a name with a line end in it has no place there.</summary>
    private static string HashList(IEnumerable<MhlEntry> entries) => string.Concat(entries
        .Where(entry => !entry.Path.Any(char.IsControl))
        .Select(entry => $"{entry.Hashes[0].Value}  {entry.Path}\n"));

    private static MhlEntry Entry(InventoryClip clip, InventoryCopy copy) =>
        new(copy.Path, clip.Size.Value, null, [new MhlHash("xxh128", clip.Xxh128.ToString(), MhlAction.Original, copy.LastProven)]);

    /// <summary>A folder name that every file system takes, told apart from those before it.</summary>
    private static string Folder(KitId drive, HashSet<string> taken)
    {
        string safe = string.Concat(drive.Value.Select(c => char.IsAsciiLetterOrDigit(c) || c is '-' or '_' or '.' ? c : '_')).Trim('.');
        string name = safe.Length == 0 ? "drive" : safe;
        for (int i = 2; !taken.Add(name); i++)
        {
            name = $"{safe}_{i}";
        }

        return name;
    }

    private static string Readme(Inventory inventory)
    {
        int missing = inventory.Clips.Count(clip => !clip.HasGoodCopy);
        int damaged = inventory.Clips.Count(clip => clip.Damage is not null);
        return $"""
            Footage handover{(inventory.Trip is { } trip ? $" of {trip}" : "")}, as of {inventory.AsOf}

            {inventory.Clips.Count} clips on {inventory.Drives.Count} drives. {missing} without a good copy, {damaged} damaged in themselves.

            inventory.json, inventory.csv   every clip and every copy, with its XXH3-128 hash (seed 0, big-endian)
            days/*.html                     a sheet a day: what, how long, which sound runs beside it, what is missing or damaged
            drives/*/ascmhl/                an ASC MHL history a drive, made from the crew's ledger
            drives/*/xxh128.txt             the same hashes for xxhsum -c, run from the drive's own folder
            {HandoverSeal.FileName}                      hashes of the files above: sha256sum -c {HandoverSeal.FileName}

            To prove the drives, with no network and nobody of the crew there:

                kitmesh recheck --handover THIS_FOLDER DRIVE_1 DRIVE_2 ...

            It reads every file on the drives from the medium, whatever it is called and wherever it was moved to, and says of
            each clip whether its bytes are there. Any other program that computes XXH3-128 can do the same from inventory.csv.
            """.ReplaceLineEndings("\n") + "\n";
    }
}
