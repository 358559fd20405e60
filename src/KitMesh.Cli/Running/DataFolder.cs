using KitMesh.Cli.Frame;
using KitMesh.Disk;
using KitMesh.Domain.Exchange;
using KitMesh.Domain.Reports;
using KitMesh.Domain.State;
using KitMesh.Hub.Hindsight;
using KitMesh.Protocol.Reports;
using KitMesh.Sync.Journal;
using NodaTime;

namespace KitMesh.Cli.Running;

/// <summary>A hub's data folder after the hub has stopped: its journal, read and never written.</summary>
/// <remarks>
/// Trap: whoever opens a journal recovers it, and that writes: a torn tail is cut, a new segment begins. So the folder is
/// locked, its journal copied aside, and the copy is opened; it goes when this is disposed.
/// </remarks>
internal sealed class DataFolder : IDisposable
{
    private const int PieceReports = 1024;

    private readonly Lock _oneAtATime = new();
    private readonly DirectoryInfo _aside;
    private readonly Journal _journal;

    private DataFolder(DirectoryInfo aside, Journal journal)
    {
        _aside = aside;
        _journal = journal;
    }

    /// <summary>Opens the folder; a hub that runs on it, or no journal in it, ends the command.</summary>
    public static DataFolder Open(CommandRun run, DirectoryInfo folder)
    {
        string journal = Path.Combine(folder.FullName, "journal");
        if (!Directory.Exists(journal))
        {
            throw CommandFault.BadInput($"{folder.FullName} is no data folder: there is no journal in it.", "Give the folder that the hub has under --data.");
        }

        var disk = new PhysicalDisk();
        DiskResult<IDisposable> locked = disk.Lock(Path.Combine(journal, Journal.LockName));
        if (locked.Fault is { } fault)
        {
            throw CommandFault.BadInput(new JournalOpening.Busy(fault).ToString());
        }

        DirectoryInfo aside;
        using (locked.Value)
        {
            aside = CopyAside(journal);
        }

        JournalOpening opening = Journal.Open(
            disk,
            new JournalOptions { Folder = aside.FullName, Node = NodeId.Parse("reader"), DropAcknowledged = false },
            run.Surroundings.Ids(),
            run.Surroundings.Ids());
        if (opening is JournalOpening.Opened opened)
        {
            return new DataFolder(aside, opened.Journal);
        }

        aside.Delete(recursive: true);
        throw CommandFault.BadInput(opening.ToString());
    }

    /// <summary>Every report, in the order of its arrival.</summary>
    /// <param name="arrivedUntil">Only what had arrived by then, by the hub's own clock; null for all.</param>
    public IEnumerable<ContentReport> Reports(Instant? arrivedUntil = null) => Known(arrivedUntil).Select(known => known.Report);

    /// <summary>The same without the hash of each content.</summary>
    public IEnumerable<Report> Decoded() => Ahead.Read(Pieces(), piece => piece.ConvertAll(entry => ReportCodec.Decode(entry.Report.Key, entry.Report.Bytes.Span)));

    /// <summary>The same, with when each had arrived.</summary>
    /// <param name="arrivedUntil">Only what had arrived by then, by the hub's own clock; null for all.</param>
    public IEnumerable<KnownReport> Known(Instant? arrivedUntil = null) => Ahead.Read(Pieces(), piece => (List<KnownReport>)
    [
        .. piece
            .Where(entry => arrivedUntil is not { } until || entry.Arrival <= until)
            .Select(entry => new KnownReport(entry.Arrival, new ContentReport(ReportCodec.Decode(entry.Report.Key, entry.Report.Bytes.Span), Sha256Hash.Of(entry.Report.Bytes.Span)))),
    ]);

    /// <summary>The fold of everything, with the times that hold.</summary>
    /// <param name="stop">Stops.</param>
    /// <param name="arrivedUntil">Only what had arrived by then; null for all.</param>
    public StateEngine Fold(CancellationToken stop, Instant? arrivedUntil = null)
    {
        // Old duplicates are looked up, so that memory does not grow with the reports.
        var engine = new StateEngine(() => Reports(arrivedUntil), FirstContent);
        foreach (ContentReport entry in Reports(arrivedUntil))
        {
            stop.ThrowIfCancellationRequested();
            engine.Add(entry.Report, entry.Content);
        }

        return engine;
    }

    /// <inheritdoc/>
    public void Dispose()
    {
        _journal.Dispose();
        _aside.Delete(recursive: true);
    }

    // The journal is read on another thread meanwhile, and it is for one at a time.
    private IEnumerable<List<JournalEntry>> Pieces()
    {
        using IEnumerator<JournalEntry> entries = _journal.Replay(JournalPosition.Start).GetEnumerator();
        while (true)
        {
            var piece = new List<JournalEntry>(PieceReports);
            lock (_oneAtATime)
            {
                while (piece.Count < PieceReports && entries.MoveNext())
                {
                    piece.Add(entries.Current);
                }
            }

            if (piece.Count == 0)
            {
                yield break;
            }

            yield return piece;
        }
    }

    private UInt128? FirstContent(ReportKey report)
    {
        lock (_oneAtATime)
        {
            return ((IJournalView)_journal).FirstContent(report);
        }
    }

    private static DirectoryInfo CopyAside(string journal)
    {
        DirectoryInfo aside = Directory.CreateTempSubdirectory("kitmesh-journal-");
        try
        {
            foreach (string file in Directory.EnumerateFiles(journal).Where(file => Path.GetFileName(file) != Journal.LockName))
            {
                File.Copy(file, Path.Combine(aside.FullName, Path.GetFileName(file)));
            }
        }
        catch (IOException failure)
        {
            aside.Delete(recursive: true);
            throw CommandFault.BadInput($"The journal cannot be copied to {aside.FullName} to be read. {failure.Message}", "Make room there, or set TMPDIR to a folder with room.");
        }

        return aside;
    }
}
