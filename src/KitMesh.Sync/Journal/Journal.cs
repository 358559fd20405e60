using KitMesh.Disk;
using KitMesh.Domain;
using KitMesh.Domain.Exchange;
using KitMesh.Domain.Reports;
using NodaTime;

namespace KitMesh.Sync.Journal;

/// <summary>The journal itself: a machine that moves only when called. One caller at a time; <see cref="JournalWriter"/> is its host.</summary>
/// <remarks>
/// <para>
/// Problem: a report may be acknowledged only when loss of power cannot take it, on disks that tear writes, lose names
/// and report a failed sync once. Method: frames are gathered (<see cref="Stage"/>), written with one write, synced with
/// one sync, and only then known (<see cref="Commit"/>).
/// </para>
/// <para>
/// Trap: after a failed write or sync the operating system may show bytes that are not on the medium, and a second sync
/// then succeeds. So the segment is given up: what was durable in it is written anew to another file, synced there, and
/// only after that a fresh segment takes appends. The same path serves a restart, because a killed process leaves the
/// same doubt; recovery is in <see cref="JournalOpener"/>.
/// </para>
/// Source of the trap: A. Rebello et al., "Can Applications Recover from fsync Failures?", USENIX ATC 2020.
/// </remarks>
public sealed class Journal : IJournalView, IDisposable
{
    /// <summary>The most origins of one journal.</summary>
    public const int MaxOrigins = 20_000;

    /// <summary>The most ranges of known sequences over all origins.</summary>
    public const int MaxRanges = 200_000;

    /// <summary>More bytes than this are not gathered into one write; callers commit first.</summary>
    public const int MaxGroupBytes = 8 << 20;

    private readonly JournalOptions _options;
    private readonly SegmentFiles _files;
    private readonly JournalIndex _index;
    private readonly JournalReader _reader;
    private readonly JournalEnd _end;
    private readonly IDisposable _lock;
    private readonly JournalGroup _group = new();
    private readonly Dictionary<OriginId, ulong> _acknowledged = [];
    private ReportKey? _ownStaged;

    internal Journal(JournalOptions options, SegmentFiles files, JournalIndex index, IDisposable heldLock, JournalStart start)
    {
        _options = options;
        _files = files;
        _index = index;
        _reader = new JournalReader(files, index);
        _lock = heldLock;
        _end = new JournalEnd(options, files, index, _reader, start);
        DiskFault? pending = _end.MakeReady().Fault;
        Recovery = start.Recovery with { Segments = index.Segments.Count, Pending = pending };
    }

    /// <summary>What opening found.</summary>
    public JournalRecovery Recovery { get; }

    /// <inheritdoc/>
    public ulong JournalId => _end.JournalId;

    /// <inheritdoc/>
    public OriginId Own => _end.Own;

    /// <inheritdoc/>
    public JournalPosition End => _index.Segments.Count == 0 ? JournalPosition.Start : new(_index.Segments[^1].Number, _index.Segments[^1].Length);

    /// <summary>Closed segments that wait to be sealed; see <see cref="Maintain"/>.</summary>
    public int WaitingToSeal => _index.Segments.Count(IsClosedRaw);

    /// <summary>Bytes of reports gathered and not yet committed.</summary>
    public long StagedBytes => _group.Bytes;

    /// <summary>The name of the file in its folder that whoever has it open holds locked.</summary>
    public const string LockName = Format.SegmentName.LockName;

    /// <summary>Opens or makes the journal of a folder, mends what a power cut left, and locks it.</summary>
    /// <param name="disk">The disk.</param>
    /// <param name="options">How it is kept.</param>
    /// <param name="freshId">64 fresh random bits: the journal's id if it is new.</param>
    /// <param name="freshEpoch">64 other fresh random bits: the epoch if the journal is new or its own reports cannot be vouched for.</param>
    public static JournalOpening Open(IDisk disk, JournalOptions options, ulong freshId, ulong freshEpoch)
    {
        ArgumentNullException.ThrowIfNull(disk);
        ArgumentNullException.ThrowIfNull(options);
        options.Validate();
        return new JournalOpener(disk, options, freshId, freshEpoch).Open();
    }

    /// <inheritdoc/>
    public IReadOnlyList<OriginHolding> Have() =>
        [.. _index.Origins.Where(origin => !origin.Known.IsEmpty).Select(origin => origin.ToHolding())];

    /// <inheritdoc/>
    public OriginHolding? Have(OriginId origin) => _index.Find(origin)?.ToHolding();

    /// <inheritdoc/>
    public Sha256Hash? ChainAt(OriginId origin, ulong sequence) => _reader.ChainAt(origin, sequence);

    /// <inheritdoc/>
    public JournalRead Read(OriginId origin, SequenceRange range, int maxBytes) => _reader.Read(origin, range, maxBytes);

    /// <inheritdoc/>
    public IReadOnlyList<ReportContent> Contents(OriginId origin, SequenceRange range, int most) => _reader.Contents(origin, range, most);

    /// <inheritdoc/>
    public IEnumerable<JournalEntry> Replay(JournalPosition from)
    {
        while (_reader.ReplayChunk(from) is { } chunk)
        {
            foreach (JournalEntry entry in chunk.Entries)
            {
                yield return entry;
            }

            from = chunk.Next;
        }
    }

    internal (IReadOnlyList<JournalEntry> Entries, JournalPosition Next)? ReplayChunk(JournalPosition from) => _reader.ReplayChunk(from);

    /// <summary>Gathers reports for the next commit.</summary>
    /// <param name="reports">Reports of any origins; those of one origin best in ascending order.</param>
    /// <param name="arrival">The time of arrival by this node's clock, however wrong.</param>
    public StageOutcome Stage(IReadOnlyList<RawReport> reports, Instant arrival)
    {
        ArgumentNullException.ThrowIfNull(reports);
        if (JournalBounds.Refusal(_index, reports) is { } reason)
        {
            return StageOutcome.Refused(reason);
        }

        if (_end.MakeReady().Failed(out DiskFault? fault))
        {
            return StageOutcome.Failed(fault);
        }

        return new JournalStaging(_index, _reader, _group, _options.MaxForksPerOrigin).Stage(reports, ToNanoseconds(arrival));
    }

    /// <summary>Gives the next sequences of this node's own origin to reports and gathers them.</summary>
    /// <param name="encoders">One for each report.</param>
    /// <param name="arrival">The time by this node's clock.</param>
    /// <param name="sequences">The sequences given; void unless the commit succeeds.</param>
    public StageOutcome StageOwn(IReadOnlyList<OwnReportEncoder> encoders, Instant arrival, out SequenceRange? sequences)
    {
        ArgumentNullException.ThrowIfNull(encoders);
        sequences = null;
        if (_end.MakeReady().Failed(out DiskFault? fault))
        {
            return StageOutcome.Failed(fault);
        }

        ulong staged = _ownStaged is { } last && last.Origin == Own ? last.Sequence : 0;
        ulong first = Math.Max(_index.Find(Own)?.Known.Last ?? 0, staged) + 1;
        var reports = new List<RawReport>(encoders.Count);
        foreach (OwnReportEncoder encoder in encoders)
        {
            var key = new ReportKey(Own, first + (ulong)reports.Count);
            reports.Add(new RawReport(key, encoder(key)));
        }

        StageOutcome outcome = Stage(reports, arrival);
        if (outcome is { Refusal: null, Fault: null } && reports.Count > 0)
        {
            _ownStaged = reports[^1].Key;
            sequences = new SequenceRange(first, reports[^1].Key.Sequence);
        }

        return outcome;
    }

    /// <summary>Gathers the statement that sequences of an origin will never come: nobody holds them.</summary>
    /// <param name="origin">The origin.</param>
    /// <param name="range">The sequences.</param>
    /// <param name="arrival">The time by this node's clock.</param>
    public StageOutcome StageWaived(OriginId origin, SequenceRange range, Instant arrival)
    {
        if (_end.MakeReady().Failed(out DiskFault? fault))
        {
            return StageOutcome.Failed(fault);
        }

        _group.AddWaived(origin, range, ToNanoseconds(arrival));
        return new StageOutcome(0, 0, [], 0);
    }

    /// <summary>Writes and syncs what was gathered. After a fault none of it is known and none may be acknowledged.</summary>
    public DiskResult Commit()
    {
        DiskResult result = BeginCommit();
        return EndCommit(result.Fault is null ? SyncCommit() : result);
    }

    /// <summary>First step of a commit: one write.</summary>
    public DiskResult BeginCommit()
    {
        return _group.IsEmpty ? DiskResult.Done : _end.Write(_group);
    }

    /// <summary>Second step: one sync. It touches nothing that a reader sees, so that a host may let readers in meanwhile.</summary>
    public DiskResult SyncCommit() => _group.IsEmpty ? DiskResult.Done : _end.Sync();

    /// <summary>Last step: takes the frames in, or gives the segment up when a step before failed.</summary>
    /// <param name="result">How the steps before ended.</param>
    public DiskResult EndCommit(DiskResult result)
    {
        if (!_group.IsEmpty)
        {
            if (result.Fault is null)
            {
                _end.TakeIn();
            }
            else
            {
                _end.GiveUp();
            }
        }

        _group.Clear();
        _ownStaged = null;
        return result;
    }

    /// <summary>Stages and commits one batch.</summary>
    /// <param name="reports">The reports.</param>
    /// <param name="arrival">The time of arrival by this node's clock.</param>
    public AppendResult Append(IReadOnlyList<RawReport> reports, Instant arrival)
    {
        StageOutcome staged = Stage(reports, arrival);
        return ToResult(staged, staged is { Refusal: null, Fault: null } ? Commit() : DiskResult.Done);
    }

    /// <summary>Stages and commits this node's own reports.</summary>
    /// <param name="encoders">One for each report.</param>
    /// <param name="arrival">The time by this node's clock.</param>
    public OwnAppend AppendOwn(IReadOnlyList<OwnReportEncoder> encoders, Instant arrival)
    {
        StageOutcome staged = StageOwn(encoders, arrival, out SequenceRange? sequences);
        AppendResult result = ToResult(staged, staged is { Refusal: null, Fault: null } ? Commit() : DiskResult.Done);
        return new OwnAppend(result, result is AppendResult.Durable ? sequences : null);
    }

    /// <summary>Puts a staged batch and its commit into one result.</summary>
    /// <param name="staged">What staging said.</param>
    /// <param name="committed">What the commit said.</param>
    public AppendResult ToResult(StageOutcome staged, DiskResult committed) => (staged, committed.Fault) switch
    {
        ({ Refusal: { } reason }, _) => new AppendResult.Refused(reason),
        ({ Fault: { } fault }, _) => new AppendResult.Failed(fault),
        (_, { } fault) => new AppendResult.Failed(fault),
        _ => new AppendResult.Durable(staged.Written, staged.Duplicates, staged.Forks.ToValueList(), staged.ForksLeftOut, End),
    };

    /// <summary>Opens a new epoch for this node's own reports; durable when it succeeds.</summary>
    /// <param name="epoch">64 fresh random bits.</param>
    public DiskResult OpenEpoch(ulong epoch)
    {
        if (!_group.IsEmpty)
        {
            throw new InvalidOperationException("Commit what was staged before opening an epoch.");
        }

        return _end.OpenEpoch(epoch);
    }

    /// <summary>Notes that everything of an origin up to a sequence is durable upstream.</summary>
    /// <param name="origin">The origin.</param>
    /// <param name="upTo">The last sequence of the gapless run from 1.</param>
    public void Acknowledge(OriginId origin, ulong upTo) => _acknowledged[origin] = Math.Max(_acknowledged.GetValueOrDefault(origin), upTo);

    /// <summary>Does one piece of housekeeping: drops the oldest segment when it may go, or seals one.</summary>
    /// <param name="machineTime">Time since any fixed moment, by a clock that never jumps.</param>
    /// <returns>Whether something was done; a fault leaves everything as it was, to be tried again.</returns>
    public DiskResult<bool> Maintain(Duration machineTime)
    {
        if (MayDropOldest(machineTime))
        {
            DiskResult deleted = _files.Delete(_index.Segments[0]);
            if (deleted.Failed(out DiskFault? fault))
            {
                return fault;
            }

            _index.DropOldest();
            return true;
        }

        Segment? next = _index.Segments.FirstOrDefault(IsClosedRaw);
        if (next is null)
        {
            return false;
        }

        return _files.Seal(next).Failed(out DiskFault? failed) ? failed : true;
    }

    /// <summary>Closes the files and gives the lock back. What was staged and not committed is gone.</summary>
    public void Dispose()
    {
        _end.Dispose();
        _files.Dispose();
        _lock.Dispose();
    }

    private static long ToNanoseconds(Instant instant) => (long)(instant - NodaConstants.UnixEpoch).ToBigIntegerNanoseconds();

    private bool IsClosedRaw(Segment segment) => !segment.IsSealed && !_end.Holds(segment);

    private bool MayDropOldest(Duration machineTime)
    {
        if (!_options.DropAcknowledged || _index.Segments.Count < 2 || _end.Holds(_index.Segments[0]))
        {
            return false;
        }

        Segment oldest = _index.Segments[0];
        if (oldest.Last.Any(last => _acknowledged.GetValueOrDefault(last.Key) < last.Value))
        {
            return false;
        }

        oldest.AcknowledgedAt ??= machineTime;
        return machineTime - oldest.AcknowledgedAt.Value >= _options.KeepAfterAcknowledgement;
    }
}
