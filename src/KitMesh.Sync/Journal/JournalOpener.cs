using KitMesh.Disk;
using KitMesh.Domain;
using KitMesh.Domain.Exchange;
using KitMesh.Domain.Reports;
using KitMesh.Sync.Journal.Format;

namespace KitMesh.Sync.Journal;

/// <summary>Opens a folder: takes the lock, reads every segment, and tells torn from damaged.</summary>
/// <remarks>
/// <para>
/// All segments but the newest had been durable, so whatever is broken in them is damage: it is reported, kept as
/// evidence, and what it held leaves the holding. The newest may end in a torn write (see <see cref="SegmentTail"/>). It
/// is also the one whose bytes may sit in the system's cache only, after a kill between write and sync or after a failed
/// sync: reading them proves nothing. So it is never appended to again; <see cref="JournalEnd"/> writes it anew first.
/// </para>
/// <para>
/// Nothing is changed on disk here except that unfinished files are deleted, so that a folder of newer software is left
/// as it was found.
/// </para>
/// </remarks>
internal sealed class JournalOpener(IDisk disk, JournalOptions options, ulong freshId, ulong freshEpoch)
{
    private readonly JournalIndex _index = new();
    private SegmentFiles _files = null!;
    private SegmentReading _reading = null!;

    internal JournalOpening Open()
    {
        if (disk.CreateDirectory(options.Folder).Failed(out DiskFault? fault))
        {
            return new JournalOpening.Unusable(fault);
        }

        DiskResult<IDisposable> locked = disk.Lock(System.IO.Path.Combine(options.Folder, SegmentName.LockName));
        if (locked.Fault is { } refused)
        {
            return refused.Kind == DiskFaultKind.InUse ? new JournalOpening.Busy(refused) : new JournalOpening.Unusable(refused);
        }

        _files = new SegmentFiles(disk, options.Folder, options.CompressionLevel);
        using SegmentReading reading = _reading = new SegmentReading(disk, _index);
        if (ReadFolder(out ulong lastNumber) is { } problem)
        {
            _files.Dispose();
            locked.Value.Dispose();
            return problem;
        }

        return new JournalOpening.Opened(new Journal(options, _files, _index, locked.Value, Start(lastNumber)));
    }

    private JournalOpening? ReadFolder(out ulong lastNumber)
    {
        lastNumber = 0;
        // A name that is only in the cache would let an older file be deleted whose place it takes.
        if (disk.SyncDirectory(options.Folder).Failed(out DiskFault? fault)
            || disk.List(options.Folder).Failed(out fault, out IReadOnlyList<DiskEntry>? entries))
        {
            return new JournalOpening.Unusable(fault);
        }

        SortedDictionary<ulong, (string? Raw, string? Sealed)> numbers = Sort(entries);
        var surplus = entries.Select(entry => entry.Name).Where(name => name.EndsWith(SegmentName.UnfinishedEnding, StringComparison.Ordinal)).ToList();
        foreach ((ulong number, (string? raw, string? packed)) in numbers)
        {
            lastNumber = number;
            bool isSealed = packed is not null && _reading.TryReadSealed(number, _files.PathOf(packed), mayFail: raw is not null);
            if (!isSealed && raw is not null)
            {
                _reading.ReadRaw(number, _files.PathOf(raw), isNewest: number == numbers.Keys.Last());
            }

            if (_reading.Stop is not null)
            {
                return _reading.Stop;
            }

            if (isSealed && raw is not null)
            {
                surplus.Add(raw);
            }
        }

        foreach (string name in surplus)
        {
            _ = disk.Delete(_files.PathOf(name));
        }

        return null;
    }

    private static SortedDictionary<ulong, (string? Raw, string? Sealed)> Sort(IReadOnlyList<DiskEntry> entries)
    {
        var numbers = new SortedDictionary<ulong, (string? Raw, string? Sealed)>();
        foreach (DiskEntry entry in entries)
        {
            if (SegmentName.TryParse(entry.Name, out ulong number, out bool isSealed))
            {
                (string? raw, string? packed) = numbers.GetValueOrDefault(number);
                numbers[number] = isSealed ? (raw, entry.Name) : (entry.Name, packed);
            }
        }

        return numbers;
    }

    /// <summary>A journal that is new, or whose own reports cannot be vouched for, starts a fresh epoch: a sequence once sent is never given out twice.</summary>
    private JournalStart Start(ulong lastNumber)
    {
        Standing? standing = _reading.NewestStanding;
        List<(OriginId Origin, SequenceRange Range)> missing = Missing(standing);
        OriginId? old = null;
        if (standing is not null && (_reading.IsNewestDamaged || missing.Any(one => one.Origin == standing.Own)))
        {
            old = standing.Own;
        }

        OriginId own = standing is null || old is not null || standing.Own.Node != options.Node ? new OriginId(options.Node, freshEpoch) : standing.Own;
        var recovery = new JournalRecovery(0, _reading.TailCut, [.. _reading.Damage], missing.ToValueList(), old, Pending: null);
        return new JournalStart(
            standing?.JournalId ?? freshId, own, lastNumber, _reading.Doubtful, _reading.DoubtfulFrames, _reading.IsDoubtfulBlank, freshEpoch, recovery);
    }

    private List<(OriginId Origin, SequenceRange Range)> Missing(Standing? standing)
    {
        var missing = new List<(OriginId, SequenceRange)>();
        if (_index.Segments.Count == 0)
        {
            return missing;
        }

        foreach (StandingOrigin origin in standing?.Origins ?? [])
        {
            SequenceRanges known = _index.Find(origin.Origin)?.Known ?? SequenceRanges.Empty;
            missing.AddRange(origin.Ranges.Except(known).Select(range => (origin.Origin, range)));
        }

        return missing;
    }
}
