using KitMesh.Cli.Frame;
using KitMesh.Export.Handover;
using KitMesh.Offload.Handover;

namespace KitMesh.Cli.Commands.Export;

/// <summary>A handover on disk.</summary>
internal static class HandoverFolder
{
    private const long LargestFile = 2L << 30;

    /// <summary>Writes it; the seal comes last, so that a handover cut off half-way has none.</summary>
    public static void Write(string folder, IReadOnlyList<HandoverFile> files)
    {
        foreach (HandoverFile file in files.OrderBy(file => file.Path == HandoverSeal.FileName))
        {
            string path = Path.Combine(folder, file.Path);
            Directory.CreateDirectory(Path.GetDirectoryName(path)!);
            using FileStream stream = File.Create(path);
            stream.Write(file.Bytes);
            stream.Flush(flushToDisk: true);
        }
    }

    /// <summary>Reads one and checks its seal.</summary>
    /// <exception cref="CommandFault">It is no handover, or not as it was written.</exception>
    public static Inventory Read(string folder)
    {
        if (Bytes(folder, HandoverSeal.FileName) is not { } seal)
        {
            throw CommandFault.BadInput($"{folder} is no whole handover: it has no {HandoverSeal.FileName}.", "Ask for the folder that kitmesh export footage wrote, all of it.");
        }

        IReadOnlyList<string> faults = HandoverSeal.Faults(seal, path => Bytes(folder, path));
        if (faults.Count > 0)
        {
            throw CommandFault.BadInput($"The handover in {folder} is not as it was written: {string.Join("; ", faults)}.", "Ask for it again; what it says cannot be relied on.");
        }

        byte[] bytes = Bytes(folder, InventoryJson.FileName) ?? throw CommandFault.BadInput($"{folder} has no {InventoryJson.FileName}.");
        return InventoryJson.Read(bytes, out string wrong) ?? throw CommandFault.BadInput($"{InventoryJson.FileName} cannot be read: {wrong}.");
    }

    /// <summary>What the inventory promises, for the check.</summary>
    public static IReadOnlyList<ExpectedClip> Expected(Inventory inventory) =>
    [
        .. inventory.Clips.Select(clip => new ExpectedClip(
            clip.Xxh128,
            clip.Size.Value,
            $"{clip.Source?.Value ?? clip.Card.Value} {clip.Path}",
            clip.HasGoodCopy,
            [.. clip.Copies.Where(copy => copy.IsGood).Select(copy => new ExpectedCopy(copy.Drive, copy.Path))])),
    ];

    private static byte[]? Bytes(string folder, string path)
    {
        var file = new FileInfo(Path.Combine(folder, path));
        return file.Exists && file.Length <= LargestFile ? File.ReadAllBytes(file.FullName) : null;
    }
}
