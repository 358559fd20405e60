using System.IO.Hashing;
using System.Runtime.InteropServices;
using System.Text;
using KitMesh.Disk.Media;
using KitMesh.Offload.Drives;

namespace KitMesh.Offload.Cards;

/// <summary>A place where a card may be, at one moment, without reading any file.</summary>
/// <param name="Presence">Whether a card is there.</param>
/// <param name="Fingerprint">Stands for all names, sizes and times; another number means another content.</param>
/// <param name="FilePrints">One number for each file, from its path, size and time; at most <see cref="MaxPrints"/>.</param>
public sealed record CardGlance(CardPresence Presence, ulong Fingerprint, IReadOnlyList<ulong> FilePrints)
{
    /// <summary>The most files that are remembered one by one.</summary>
    public const int MaxPrints = 20_000;

    private static readonly CardGlance Nothing = new(CardPresence.Absent, 0, []);

    /// <summary>Looks at a place.</summary>
    /// <param name="root">The folder.</param>
    /// <remarks>
    /// The folder of a card that was taken out is often left behind, empty. So an empty folder is a card (a formatted one)
    /// only where something is mounted on it.
    /// </remarks>
    public static CardGlance At(string root)
    {
        try
        {
            if (MediaFolder.Look(root) is not { Kind: MediaKind.Folder } top)
            {
                return Nothing;
            }

            if (DriveIdentity.Marks(root))
            {
                return Nothing with { Presence = CardPresence.Drive };
            }

            bool mounted = MediaFolder.Look(Path.GetDirectoryName(Path.GetFullPath(root)) ?? "/") is { } parent && parent.Device != top.Device;
            CardListing listing = CardLister.List(root);
            if (listing.Files.Count == 0 && listing.Unreadable.Count == 0 && !mounted)
            {
                return Nothing;
            }

            List<ulong> prints = [.. listing.Files.Select(Print)];
            ulong all = XxHash64.HashToUInt64(MemoryMarshal.AsBytes<ulong>(CollectionsMarshal.AsSpan(prints)), listing.Unreadable.Count);
            return new CardGlance(CardPresence.Card, all, [.. prints.Take(MaxPrints)]);
        }
        catch (MediaFault)
        {
            return Nothing;
        }
    }

    /// <summary>Whether a place has the folder that cameras write (DCF: JEITA CP-3461, "DCIM").</summary>
    /// <param name="root">The folder.</param>
    public static bool HasCameraFolder(string root) => Directory.Exists(Path.Combine(root, "DCIM"));

    private static ulong Print(CardFile file) =>
        XxHash64.HashToUInt64(Encoding.UTF8.GetBytes(FormattableString.Invariant($"{file.Size} {file.ModifiedNanoseconds} {file.Shown}")));
}
