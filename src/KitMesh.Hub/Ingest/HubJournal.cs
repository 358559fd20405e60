using KitMesh.Disk;
using KitMesh.Sync.Journal;

namespace KitMesh.Hub.Ingest;

/// <summary>Opens the journal of a hub.</summary>
internal static class HubJournal
{
    /// <summary>Opens or makes it in the hub's data folder.</summary>
    /// <exception cref="HubStartException">It cannot be opened; nothing was changed.</exception>
    public static JournalWriter Open(IDisk disk, HubOptions options, HubClocks clocks)
    {
        var journalOptions = new JournalOptions
        {
            Folder = Path.Combine(options.DataFolder, "journal"),
            Node = options.Node,
            DropAcknowledged = false,
        };
        JournalOpening opening = Journal.Open(disk, journalOptions, RandomNumbers.Draw(), RandomNumbers.Draw());
        return opening is JournalOpening.Opened opened
            ? new JournalWriter(opened.Journal, journalOptions, clocks.Machine, clocks.World)
            : throw new HubStartException(opening.ToString());
    }
}
