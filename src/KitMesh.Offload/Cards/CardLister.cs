using KitMesh.Disk.Media;

namespace KitMesh.Offload.Cards;

// The problem: everything that a camera wrote must be found, and nothing outside the card. The traps: a link may lead out
// of the card or round in a circle; a second file system may be mounted inside; computers leave folders of their own on
// cards; a folder that cannot be listed may hide footage. The method: walk without following any link and without leaving
// the card's own file system, pass over what is known to be no footage and say so, and count a folder that cannot be read
// as a fault of the card, never as empty.

/// <summary>Lists a card.</summary>
internal static class CardLister
{
    /// <summary>Deepest folder that is looked into; cameras use three or four.</summary>
    public const int MaxDepth = 64;

    // What operating systems leave on cards that were put into them (names as those systems document them).
    private static readonly HashSet<string> SystemNames = new(StringComparer.OrdinalIgnoreCase)
    {
        "System Volume Information", "$RECYCLE.BIN", ".Spotlight-V100", ".Trashes", ".fseventsd", ".TemporaryItems",
        ".DocumentRevisions-V100", ".DS_Store", "Thumbs.db", "lost+found", ".Trash-1000",
    };

    /// <summary>Lists a card.</summary>
    /// <param name="root">Where the card is mounted.</param>
    /// <exception cref="MediaFault">The root itself cannot be looked at.</exception>
    public static CardListing List(string root)
    {
        MediaStat top = MediaFolder.Look(root) ?? throw new MediaFault("look", root, ErrorNumber.NotFound);
        var walk = new Walk(top.Device);
        walk.Into(root, "", 0);
        walk.Files.Sort((a, b) => string.CompareOrdinal(a.Path, b.Path));
        return new CardListing(walk.Files, walk.PassedOver, walk.Unreadable);
    }

    private sealed class Walk(ulong device)
    {
        public List<CardFile> Files { get; } = [];

        public List<CardRemark> PassedOver { get; } = [];

        public List<CardRemark> Unreadable { get; } = [];

        public void Into(string folder, string path, int depth)
        {
            IReadOnlyList<string> names;
            try
            {
                names = MediaFolder.List(folder);
            }
            catch (MediaFault fault)
            {
                Unreadable.Add(new(Shown(path), fault.Message));
                return;
            }

            foreach (string name in names)
            {
                Visit($"{folder}/{name}", path.Length == 0 ? name : $"{path}/{name}", name, depth);
            }
        }

        private void Visit(string full, string path, string name, int depth)
        {
            if (SystemNames.Contains(name))
            {
                PassedOver.Add(new(Shown(path), "left by a computer, no footage"));
                return;
            }

            try
            {
                if (MediaFolder.Look(full) is { } stat)
                {
                    Sort(full, path, stat, depth);
                }
            }
            catch (MediaFault fault)
            {
                Unreadable.Add(new(Shown(path), fault.Message));
            }
        }

        private void Sort(string full, string path, MediaStat stat, int depth)
        {
            switch (stat.Kind)
            {
                case MediaKind.File:
                    Files.Add(new CardFile(path, full, stat.Size, stat.ModifiedNanoseconds, stat.ChangedNanoseconds));
                    break;
                case MediaKind.Folder when stat.Device != device:
                    PassedOver.Add(new(Shown(path), "another file system mounted inside the card"));
                    break;
                case MediaKind.Folder when depth >= MaxDepth:
                    Unreadable.Add(new(Shown(path), $"more than {MaxDepth} folders deep"));
                    break;
                case MediaKind.Folder:
                    Into(full, path, depth + 1);
                    break;
                case MediaKind.Link:
                    PassedOver.Add(new(Shown(path), "a link; what it points to is copied if it lies on the card"));
                    break;
                default:
                    PassedOver.Add(new(Shown(path), "neither file nor folder"));
                    break;
            }
        }

        private static string Shown(string path) => path.Length == 0 ? "/" : RawName.Shown(path);
    }
}
