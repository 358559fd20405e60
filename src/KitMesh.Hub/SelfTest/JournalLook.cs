using System.Globalization;
using KitMesh.Disk;
using KitMesh.Hub.Ingest;
using KitMesh.Sync.Journal;
using NodaTime;

namespace KitMesh.Hub.SelfTest;

/// <summary>What a journal holds, read from end to end and not touched.</summary>
/// <param name="Line">What was found.</param>
/// <param name="IsBusy">Whether a hub runs on it.</param>
/// <param name="LastArrival">When the newest report arrived, by the clock of that time; null when none did.</param>
internal sealed record JournalLook(CheckLine Line, bool IsBusy, Instant? LastArrival)
{
    private const string Check = "journal";

    /// <summary>Reads the journal of a data folder: every frame and every checksum.</summary>
    public static JournalLook At(IDisk disk, HubOptions options)
    {
        string folder = Path.Combine(options.DataFolder, "journal");
        if (disk.Find(folder).Fault is not null)
        {
            return new JournalLook(CheckLine.Right(Check, "There is none yet; the first start begins it."), IsBusy: false, null);
        }

        var journalOptions = new JournalOptions { Folder = folder, Node = options.Node, DropAcknowledged = false };
        JournalOpening opening = Journal.Open(new UntouchedDisk(disk), journalOptions, RandomNumbers.Draw(), RandomNumbers.Draw());
        switch (opening)
        {
            case JournalOpening.Opened opened:
                using (opened.Journal)
                {
                    return Read(opened.Journal);
                }

            case JournalOpening.Busy:
                return new JournalLook(CheckLine.Right(Check, "A hub runs on this folder and holds the journal; stop it to have every frame read."), IsBusy: true, null);
            default:
                return new JournalLook(CheckLine.Wrong(Check, opening.ToString(), "Keep the folder as it is until this is understood."), IsBusy: false, null);
        }
    }

    private static JournalLook Read(Journal journal)
    {
        IReadOnlyList<OriginHolding> holdings = journal.Have();
        ulong reports = 0;
        foreach (OriginHolding holding in holdings)
        {
            reports += holding.Kept.Numbers;
        }

        Instant? last = null;
        foreach (JournalEntry entry in journal.Replay(JournalPosition.Start))
        {
            last = last is { } before && before > entry.Arrival ? before : entry.Arrival;
        }

        JournalRecovery found = journal.Recovery;
        string holds = string.Create(CultureInfo.InvariantCulture, $"{reports} reports of {holdings.Count} {(holdings.Count == 1 ? "origin" : "origins")} in {found.Segments} {(found.Segments == 1 ? "segment" : "segments")} read, all checksums right.");
        CheckLine line = found switch
        {
            { Damage: [JournalDamage damage, ..] } => CheckLine.Wrong(
                Check,
                string.Create(CultureInfo.InvariantCulture, $"{found.Damage.Count} damaged {(found.Damage.Count == 1 ? "place" : "places")}; the first is {damage.File} at byte {damage.Offset}. {damage.Detail}"),
                "The medium may be failing: copy the folder to another one now. The hub starts all the same and asks others for what is gone."),
            { Missing.Count: > 0 } => CheckLine.Wrong(
                Check,
                string.Create(CultureInfo.InvariantCulture, $"Reports of {found.Missing.Select(one => one.Origin).Distinct().Count()} origins that were safe here are gone: segments are missing."),
                "Put the missing files back if there is a copy. The hub starts all the same and asks others for them."),
            { TailBytesCut: > 0 } => CheckLine.Right(Check, string.Create(CultureInfo.InvariantCulture, $"{holds} {found.TailBytesCut} bytes of a write that was cut short stand at the end; nobody was told that they were safe.")),
            _ => CheckLine.Right(Check, holds),
        };
        return new JournalLook(line, IsBusy: false, last);
    }
}
