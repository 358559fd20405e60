using KitMesh.Cli.Frame;
using KitMesh.Disk;
using KitMesh.Domain.Reports;
using KitMesh.Domain.State;
using KitMesh.Protocol.Reports;
using KitMesh.Sync.Journal;
using NodaTime;

namespace KitMesh.Cli.Running;

/// <summary>A hub's data folder after the hub has stopped: its journal, read and never written.</summary>
internal sealed class DataFolder : IDisposable
{
    private readonly Journal _journal;

    private DataFolder(Journal journal) => _journal = journal;

    /// <summary>Opens the folder; a hub that runs on it, or no journal in it, ends the command.</summary>
    public static DataFolder Open(CommandRun run, DirectoryInfo folder)
    {
        string journal = Path.Combine(folder.FullName, "journal");
        if (!Directory.Exists(journal))
        {
            throw CommandFault.BadInput($"{folder.FullName} is no data folder: there is no journal in it.", "Give the folder that the hub has under --data.");
        }

        JournalOpening opening = Journal.Open(
            new PhysicalDisk(),
            new JournalOptions { Folder = journal, Node = NodeId.Parse("reader"), DropAcknowledged = false },
            run.Surroundings.Ids(),
            run.Surroundings.Ids());
        return opening is JournalOpening.Opened opened ? new DataFolder(opened.Journal) : throw CommandFault.BadInput(opening.ToString());
    }

    /// <summary>Every report, in the order of its arrival.</summary>
    /// <param name="arrivedUntil">Only what had arrived by then, by the hub's own clock; null for all.</param>
    public IEnumerable<ContentReport> Reports(Instant? arrivedUntil = null) => _journal
        .Replay(JournalPosition.Start)
        .Where(entry => arrivedUntil is not { } until || entry.Arrival <= until)
        .Select(entry => new ContentReport(ReportCodec.Decode(entry.Report.Key, entry.Report.Bytes.Span), Sha256Hash.Of(entry.Report.Bytes.Span)));

    /// <summary>The fold of everything, with the times that hold.</summary>
    /// <param name="stop">Stops.</param>
    /// <param name="arrivedUntil">Only what had arrived by then; null for all.</param>
    public StateEngine Fold(CancellationToken stop, Instant? arrivedUntil = null)
    {
        var engine = new StateEngine(() => Reports(arrivedUntil));
        foreach (ContentReport entry in Reports(arrivedUntil))
        {
            stop.ThrowIfCancellationRequested();
            engine.Add(entry.Report, entry.Content);
        }

        return engine;
    }

    /// <inheritdoc/>
    public void Dispose() => _journal.Dispose();
}
