using KitMesh.Domain.Reports;
using KitMesh.Domain.State;
using KitMesh.Domain.Time;
using KitMesh.Footage.Ledger;
using KitMesh.Hub.Enrolment;
using KitMesh.Protocol.Reports;
using KitMesh.Storage;
using KitMesh.Storage.Queries;
using KitMesh.Sync.Journal;
using Microsoft.Extensions.Logging;
using NodaTime;

namespace KitMesh.Hub.Ingest;

/// <summary>Follows the journal and keeps everything that is derived from it: state, ledger and store.</summary>
/// <remarks>
/// Problem: senders may wait for nothing but the journal, and after a crash, a full disk or a new clock pair the derived
/// things must come out the same as if nothing had happened. Method: this loop is the only one that derives, and it reads
/// nothing but the journal, at start and in running the same way. Each round (1) folds what is new, (2) when a clock pair
/// moved times, renews the times in ledger and store, (3) brings what is new into ledger and store. Whatever piles up
/// while a round runs is the next round, so nothing is queued in memory.
/// Trap: settling times costs a replay of everything; it is done once a round, never once a clock pair.
/// </remarks>
internal sealed class MergedView : IAsyncDisposable
{
    private const int MaxHeld = 20_000;
    private static readonly TimeSpan StoreRetry = TimeSpan.FromSeconds(30);
    private readonly IJournalWriter _journal;
    private readonly StoreKeeper _keeper;
    private readonly RightsBook _rights;
    private readonly HubClocks _clocks;
    private readonly ILogger _log;
    private readonly StateEngine _engine;
    private readonly PackPictures _packs = new();
    private readonly ClockDoubts _doubts = new();
    private readonly Lock _ledgerGate = new();
    private readonly CancellationTokenSource _stop = new();
    private FootageLedger _ledger;
    private TaskCompletionSource _moved = new(TaskCreationOptions.RunContinuationsAsynchronously);
    private MergedSnapshot _now = new(0, TripState.Empty, JournalPosition.Start);
    private Retiming _retiming = Retiming.None;
    private JournalPosition _folded = JournalPosition.Start;
    private JournalPosition _stored = JournalPosition.Start;
    private JournalPosition _filed = JournalPosition.Start;
    private long _timesVersion;
    private long _storedTimes;
    private long? _storeFailedAt;
    private Task _running = Task.CompletedTask;

    public MergedView(IJournalWriter journal, StoreKeeper keeper, RightsBook rights, HubClocks clocks, ILogger log)
    {
        _journal = journal;
        _keeper = keeper;
        _rights = rights;
        _ledger = new FootageLedger(rights);
        _clocks = clocks;
        _log = log;
        _engine = new StateEngine(() => Decode(JournalPosition.Start, _folded).Select(entry => new ContentReport(entry.Report, Sha256Hash.Of(entry.Raw.Bytes.Span))));
    }

    /// <summary>The merged state now.</summary>
    public MergedSnapshot Now => Volatile.Read(ref _now);

    /// <summary>The newest values of each pack, put together from all devices.</summary>
    public PackPictures Packs => _packs;

    /// <summary>How far each node's newest time may itself be off.</summary>
    public ClockDoubts ClockDoubts => _doubts;

    /// <summary>Derives everything that the journal holds, then goes on in the background.</summary>
    public async Task StartAsync(StoreOpening opening, CancellationToken cancellation)
    {
        _stored = opening.AppliedTo;
        // Times are settled before the first round, so a kept store is told of whatever changed while the hub was down.
        await RoundAsync(cancellation).ConfigureAwait(false);
        _running = Task.Run(() => FollowAsync(_stop.Token), CancellationToken.None);
    }

    /// <summary>The ledger at a moment of world time.</summary>
    public LedgerSnapshot LedgerAt(Instant now)
    {
        lock (_ledgerGate)
        {
            return _ledger.Now(now);
        }
    }

    /// <summary>The rank of the clock behind a report's time.</summary>
    public ClockTrust TrustOf(Report report) => Volatile.Read(ref _retiming).Time(report).Trust;

    /// <summary>Completes when everything that is durable now is merged and stored.</summary>
    public async Task WhenCaughtUpAsync(CancellationToken cancellation)
    {
        JournalPosition end = _journal.End;
        while (true)
        {
            Task moved = Volatile.Read(ref _moved).Task;
            if (Now.Position.CompareTo(end) >= 0)
            {
                return;
            }

            await moved.WaitAsync(cancellation).ConfigureAwait(false);
        }
    }

    /// <summary>Completes at the next change of the state.</summary>
    public Task WhenChangedAsync(CancellationToken cancellation) => Volatile.Read(ref _moved).Task.WaitAsync(cancellation);

    /// <inheritdoc/>
    public async ValueTask DisposeAsync()
    {
        await _stop.CancelAsync().ConfigureAwait(false);
        try
        {
            await _running.ConfigureAwait(false);
        }
        catch (OperationCanceledException)
        {
            // Asked to stop.
        }

        _stop.Dispose();
    }

    private async Task FollowAsync(CancellationToken cancellation)
    {
        while (!cancellation.IsCancellationRequested)
        {
            if (_storeFailedAt is null)
            {
                await _journal.WhenPastAsync(_folded, cancellation).ConfigureAwait(false);
            }
            else
            {
                using var either = CancellationTokenSource.CreateLinkedTokenSource(cancellation);
                await Task.WhenAny(
                    _journal.WhenPastAsync(_folded, either.Token).AsTask(),
                    Task.Delay(StoreRetry, _clocks.Machine, either.Token)).ConfigureAwait(false);
                await either.CancelAsync().ConfigureAwait(false);
            }

            await RoundAsync(cancellation).ConfigureAwait(false);
        }
    }

    private async Task RoundAsync(CancellationToken cancellation)
    {
        List<DecodedEntry>? fresh = Fold();
        bool timesMoved = _engine.RetimingVersion != _timesVersion;
        Retiming retiming = _engine.Retiming;
        _timesVersion = _engine.RetimingVersion;
        Volatile.Write(ref _retiming, retiming);
        FileInLedger(fresh, retiming, timesMoved);
        await BringToStoreAsync(fresh, retiming, cancellation).ConfigureAwait(false);
        Volatile.Write(ref _now, new MergedSnapshot(_now.Version + 1, _engine.State, _folded));
        Interlocked.Exchange(ref _moved, new TaskCompletionSource(TaskCreationOptions.RunContinuationsAsynchronously)).SetResult();
    }

    /// <summary>Folds all that is new. Gives it back while it is little enough to hold; else null, and the others read the journal again.</summary>
    private List<DecodedEntry>? Fold()
    {
        List<DecodedEntry>? fresh = [];
        JournalPosition end = _journal.End;
        _filed = _folded;
        foreach (DecodedEntry entry in Decode(_folded, end))
        {
            _engine.Add(entry.Report, Sha256Hash.Of(entry.Raw.Bytes.Span));
            _rights.Add(entry.Report);
            _folded = entry.Next;
            fresh?.Add(entry);
            if (fresh?.Count > MaxHeld)
            {
                fresh = null;
            }
        }

        // The end can lie past the last report: a new segment's head, or a note that something will never come.
        _folded = end;
        return fresh;
    }

    private void FileInLedger(List<DecodedEntry>? fresh, Retiming retiming, bool timesMoved)
    {
        lock (_ledgerGate)
        {
            if (timesMoved)
            {
                // Every time may have moved: ledger and pictures are built anew.
                _ledger = new FootageLedger(_rights);
                _packs.Clear();
                _doubts.Clear();
            }

            IEnumerable<DecodedEntry> entries = timesMoved ? Decode(JournalPosition.Start, _folded) : fresh ?? Decode(_filed, _folded);
            foreach (DecodedEntry entry in entries)
            {
                NodeId node = entry.Report.Key.Origin.Node;
                RetimedInstant time = retiming.Of(node, entry.Report.Written);
                var timed = new TimedReport(entry.Report, time.Time, time.Trust);
                _ledger.Add(timed);
                _packs.Add(timed);
                _doubts.Add(node, time);
            }
        }
    }

    private async Task BringToStoreAsync(List<DecodedEntry>? fresh, Retiming retiming, CancellationToken cancellation)
    {
        try
        {
            if (!await ReopenAsync().ConfigureAwait(false))
            {
                return;
            }

            IReportStore store = _keeper.Store;
            if (_storedTimes != _timesVersion)
            {
                foreach (Watermark mark in await store.ReadWatermarksAsync(cancellation).ConfigureAwait(false))
                {
                    await store.RetimeAsync(new SequenceSpan(mark.Origin, 1, ulong.MaxValue), report => retiming.Time(report).Time, cancellation).ConfigureAwait(false);
                }

                _storedTimes = _timesVersion;
            }

            IEnumerable<DecodedEntry> entries = fresh is not null && _stored == _filed ? fresh : Decode(_stored, _folded);
            foreach (List<DecodedEntry> batch in WholeFrames(entries))
            {
                IncomingReport[] reports = [.. batch.Select(entry => new IncomingReport(entry.Raw, retiming.Time(entry.Report), entry.Arrival))];
                await store.WriteAsync(reports, batch[^1].Next, cancellation).ConfigureAwait(false);
                _stored = batch[^1].Next;
            }
        }
        catch (StoreFaultedException fault)
        {
            await _keeper.DropAsync(fault).ConfigureAwait(false);
            _storeFailedAt = _clocks.Machine.GetTimestamp();
        }
    }

    /// <summary>Opens the store again after it failed, at most every half minute: the cause may be a full disk.</summary>
    private async Task<bool> ReopenAsync()
    {
        if (_storeFailedAt is not { } failedAt)
        {
            return true;
        }

        if (_clocks.Machine.GetElapsedTime(failedAt) < StoreRetry)
        {
            return false;
        }

        try
        {
            StoreOpening opening = await _keeper.OpenAsync().ConfigureAwait(false);
            _stored = opening.AppliedTo;
            _storedTimes = _timesVersion;
            _storeFailedAt = null;
            return true;
        }
        catch (Exception failure) when (failure is StoreFaultedException or StoreLockedException)
        {
            HubLog.StoreUnavailable(_log, failure.Message, (int)StoreRetry.TotalSeconds);
            _storeFailedAt = _clocks.Machine.GetTimestamp();
            return false;
        }
    }

    /// <summary>
    /// Batches that end where a frame of the journal ends, because only there a replay can go on. A frame is never longer
    /// than a batch may be.
    /// </summary>
    private static IEnumerable<List<DecodedEntry>> WholeFrames(IEnumerable<DecodedEntry> entries)
    {
        var batch = new List<DecodedEntry>();
        int whole = 0;
        foreach (DecodedEntry entry in entries)
        {
            if (batch.Count > 0 && batch[^1].Next != entry.Next)
            {
                whole = batch.Count;
            }

            if (batch.Count == StoreLimits.MaxBatch)
            {
                yield return batch[..whole];
                batch.RemoveRange(0, whole);
                whole = 0;
            }

            batch.Add(entry);
        }

        if (batch.Count > 0)
        {
            yield return batch;
        }
    }

    private IEnumerable<DecodedEntry> Decode(JournalPosition from, JournalPosition until)
    {
        foreach (JournalEntry entry in _journal.Replay(from))
        {
            if (entry.Next.CompareTo(until) > 0)
            {
                yield break;
            }

            var raw = new RawReport(entry.Report.Key, entry.Report.Bytes.ToArray());
            yield return new DecodedEntry(raw, ReportCodec.Decode(raw), entry.Arrival, entry.Next);
        }
    }
}
