using KitMesh.Export.Handover;
using KitMesh.Offload.Drives;
using KitMesh.Offload.Handover;
using NodaTime.Text;

namespace KitMesh.Cli.Commands.Export;

/// <summary>What goes into a bag, and from which mounted drive.</summary>
internal static class BagList
{
    public static IReadOnlyList<BagItem> Of(Inventory inventory, IReadOnlyList<string> roots)
    {
        ILookup<string, string> rootOf = roots.ToLookup(root => DriveIdentity.Read(root)?.Drive.Value ?? Path.GetFileName(root), StringComparer.Ordinal);
        HashSet<string> taken = new(StringComparer.OrdinalIgnoreCase);
        return
        [
            .. inventory.Clips.Select(clip => new BagItem(
                clip.Xxh128,
                clip.Size.Value,
                Payload(clip, taken),
                [.. clip.Copies
                    .Where(copy => copy.IsGood)
                    .SelectMany(copy => rootOf[copy.Drive.Value].Select(root => $"{root}/{copy.Path}"))
                    .Where(File.Exists)])),
        ];
    }

    /// <summary>Day, source, path on the card; made unique where two clips would share it.</summary>
    private static string Payload(InventoryClip clip, HashSet<string> taken)
    {
        string path = $"{LocalDatePattern.Iso.Format(clip.Day)}/{Safe(clip.Source?.Value ?? clip.Card.Value)}/{string.Join('/', clip.Path.Split('/').Select(Safe))}";
        return taken.Add(path) ? path : $"{path}.{clip.Xxh128}";
    }

    private static string Safe(string part)
    {
        string safe = string.Concat(part.Select(c => char.IsControl(c) || c is '/' or '\\' or ':' or '*' or '?' or '"' or '<' or '>' or '|' ? '_' : c)).Trim();
        return safe is "" or "." or ".." ? "_" : safe;
    }
}
