using KitMesh.Disk;

namespace KitMesh.Sync.Journal;

/// <summary>How opening a journal ended. The set is closed.</summary>
public abstract record JournalOpening
{
    private JournalOpening()
    {
    }

    /// <summary>It is open and locked for this process.</summary>
    /// <param name="Journal">The journal; its <see cref="Journal.Recovery"/> tells what was found.</param>
    public sealed record Opened(Journal Journal) : JournalOpening;

    /// <summary>Another process has it open.</summary>
    /// <param name="Fault">Which, where that is known.</param>
    public sealed record Busy(DiskFault Fault) : JournalOpening;

    /// <summary>Newer software wrote it. Nothing was changed.</summary>
    /// <param name="File">The file that cannot be read.</param>
    /// <param name="Offset">Where in its uncompressed bytes.</param>
    public sealed record Newer(string File, long Offset) : JournalOpening;

    /// <summary>The folder cannot be used. Nothing was changed beyond what the fault says.</summary>
    /// <param name="Fault">What the disk said.</param>
    public sealed record Unusable(DiskFault Fault) : JournalOpening;

    /// <summary>One sentence for a person.</summary>
    public sealed override string ToString() => this switch
    {
        Opened opened => $"The journal of {opened.Journal.Own} is open.",
        Busy busy => $"The journal's folder is in use: {busy.Fault}. Stop the other process, or give this one another --data folder.",
        Newer newer => $"{newer.File} holds entries of a newer version at byte {newer.Offset}. Nothing was changed; run the newer version.",
        Unusable unusable => $"The journal cannot be opened. {unusable.Fault}",
        _ => throw new InvalidOperationException("Unknown opening."),
    };
}
