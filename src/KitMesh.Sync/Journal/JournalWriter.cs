using System.Threading.Channels;
using KitMesh.Disk;
using KitMesh.Domain.Exchange;
using KitMesh.Domain.Reports;
using NodaTime;

namespace KitMesh.Sync.Journal;

/// <summary>Runs a <see cref="Journal"/> on one thread for many callers.</summary>
/// <remarks>
/// <para>
/// Problem: a sync costs the same for one report as for a thousand. Method: the thread takes whatever waits in a queue
/// with a bound, writes it with one write, syncs once, and answers all who waited (group commit).
/// </para>
/// <para>
/// Trap: readers must not wait for the medium. The journal's state is guarded by one lock, and the lock is not held
/// during the sync, which touches nothing that readers see.
/// </para>
/// </remarks>
public sealed class JournalWriter : IJournalWriter
{
    /// <summary>Closed segments that may wait for a quiet moment: sealing one costs as long as taking tens of thousands of reports.</summary>
    private const int MaxWaitingToSeal = 32;
    private const int MaxRequestsPerCommit = 4096;

    /// <summary>
    /// A commit is closed past this many bytes. Larger ones save no syncs worth speaking of, and all senders would wait for one
    /// and then all send at once: with this, some send while the reports of others are written.
    /// </summary>
    private const int CommitBytes = 1 << 20;

    /// <summary>A commit past this many bytes is part of a flood: the next one is close behind, and senders wait for it.</summary>
    private const int BusyBytes = 64 << 10;

    /// <summary>No request for this long ends a flood.</summary>
    private static readonly TimeSpan Calm = TimeSpan.FromMilliseconds(200);

    private readonly Journal _journal;
    private readonly TimeProvider _machineTime;
    private readonly Func<Instant> _worldNow;
    private readonly Channel<JournalRequest> _queue;
    private readonly Lock _gate = new();
    private readonly Thread _thread;
    private readonly TaskCompletionSource _stopped = new(TaskCreationOptions.RunContinuationsAsynchronously);
    private readonly long _started;
    private TaskCompletionSource _moved = new(TaskCreationOptions.RunContinuationsAsynchronously);

    /// <summary>Starts the writer's thread for an open journal, which it then owns.</summary>
    /// <param name="journal">The journal.</param>
    /// <param name="options">The options it was opened with.</param>
    /// <param name="machineTime">Measures grace times.</param>
    /// <param name="arrivalClock">Gives the time of arrival written beside every report.</param>
    public JournalWriter(Journal journal, JournalOptions options, TimeProvider machineTime, IClock arrivalClock)
    {
        ArgumentNullException.ThrowIfNull(journal);
        ArgumentNullException.ThrowIfNull(options);
        ArgumentNullException.ThrowIfNull(machineTime);
        ArgumentNullException.ThrowIfNull(arrivalClock);
        _journal = journal;
        _machineTime = machineTime;
        _worldNow = arrivalClock.GetCurrentInstant;
        _started = machineTime.GetTimestamp();
        _queue = Channel.CreateBounded<JournalRequest>(new BoundedChannelOptions(options.QueueLength) { SingleReader = true });
        _thread = new Thread(Run) { IsBackground = true, Name = "journal writer" };
        _thread.Start();
    }

    /// <inheritdoc/>
    public JournalRecovery Recovery => _journal.Recovery;

    /// <inheritdoc/>
    public ulong JournalId => _journal.JournalId;

    /// <inheritdoc/>
    public OriginId Own
    {
        get
        {
            lock (_gate)
            {
                return _journal.Own;
            }
        }
    }

    /// <inheritdoc/>
    public JournalPosition End
    {
        get
        {
            lock (_gate)
            {
                return _journal.End;
            }
        }
    }

    /// <inheritdoc/>
    public long Commits { get; private set; }

    /// <inheritdoc/>
    public IReadOnlyList<OriginHolding> Have()
    {
        lock (_gate)
        {
            return _journal.Have();
        }
    }

    /// <inheritdoc/>
    public OriginHolding? Have(OriginId origin)
    {
        lock (_gate)
        {
            return _journal.Have(origin);
        }
    }

    /// <inheritdoc/>
    public Sha256Hash? ChainAt(OriginId origin, ulong sequence)
    {
        lock (_gate)
        {
            return _journal.ChainAt(origin, sequence);
        }
    }

    /// <inheritdoc/>
    public JournalRead Read(OriginId origin, SequenceRange range, int maxBytes)
    {
        lock (_gate)
        {
            return _journal.Read(origin, range, maxBytes);
        }
    }

    /// <inheritdoc/>
    public IReadOnlyList<ReportContent> Contents(OriginId origin, SequenceRange range, int most)
    {
        lock (_gate)
        {
            return _journal.Contents(origin, range, most);
        }
    }

    /// <inheritdoc/>
    public IEnumerable<JournalEntry> Replay(JournalPosition from)
    {
        while (true)
        {
            (IReadOnlyList<JournalEntry> Entries, JournalPosition Next)? chunk;
            lock (_gate)
            {
                chunk = _journal.ReplayChunk(from);
            }

            if (chunk is not { } found)
            {
                yield break;
            }

            foreach (JournalEntry entry in found.Entries)
            {
                yield return entry;
            }

            from = found.Next;
        }
    }

    /// <inheritdoc/>
    public async ValueTask<AppendResult> AppendAsync(IReadOnlyList<RawReport> reports, CancellationToken cancellation) =>
        (await EnqueueAsync(_ => _journal.Stage(reports, _worldNow()), isAlone: false, cancellation).ConfigureAwait(false)).Result;

    /// <inheritdoc/>
    public ValueTask<OwnAppend> AppendOwnAsync(IReadOnlyList<OwnReportEncoder> encoders, CancellationToken cancellation) =>
        EnqueueAsync(
            request =>
            {
                StageOutcome staged = _journal.StageOwn(encoders, _worldNow(), out SequenceRange? sequences);
                request.Sequences = sequences;
                return staged;
            },
            isAlone: false,
            cancellation);

    /// <inheritdoc/>
    public async ValueTask<AppendResult> WaiveAsync(OriginId origin, SequenceRange range, CancellationToken cancellation) =>
        (await EnqueueAsync(_ => _journal.StageWaived(origin, range, _worldNow()), isAlone: false, cancellation).ConfigureAwait(false)).Result;

    /// <inheritdoc/>
    public async ValueTask<AppendResult> OpenEpochAsync(ulong epoch, CancellationToken cancellation) =>
        (await EnqueueAsync(
            _ => _journal.OpenEpoch(epoch).Failed(out DiskFault? fault) ? StageOutcome.Failed(fault) : new StageOutcome(0, 0, [], 0),
            isAlone: true,
            cancellation).ConfigureAwait(false)).Result;

    /// <inheritdoc/>
    public void Acknowledge(OriginId origin, ulong upTo)
    {
        lock (_gate)
        {
            _journal.Acknowledge(origin, upTo);
        }
    }

    /// <inheritdoc/>
    public async ValueTask<JournalPosition> WhenPastAsync(JournalPosition after, CancellationToken cancellation)
    {
        while (true)
        {
            Task moved = Volatile.Read(ref _moved).Task;
            JournalPosition end = End;
            if (end.CompareTo(after) > 0)
            {
                return end;
            }

            await moved.WaitAsync(cancellation).ConfigureAwait(false);
        }
    }

    /// <summary>Commits what is queued, stops the thread and closes the journal.</summary>
    public async ValueTask DisposeAsync()
    {
        if (_queue.Writer.TryComplete())
        {
            await _stopped.Task.ConfigureAwait(false);
            _journal.Dispose();
        }
    }

    private async ValueTask<OwnAppend> EnqueueAsync(Func<JournalRequest, StageOutcome> stage, bool isAlone, CancellationToken cancellation)
    {
        var request = new JournalRequest(stage, isAlone);
        await _queue.Writer.WriteAsync(request, cancellation).ConfigureAwait(false);
        return await request.Done.Task.WaitAsync(cancellation).ConfigureAwait(false);
    }

    private void Run()
    {
        var group = new List<JournalRequest>();
        JournalRequest? held = null;
        try
        {
            bool isBusy = false;
            while (held is not null || WaitForWork(isBusy))
            {
                held = Gather(group, held);
                isBusy = _journal.StagedBytes > BusyBytes;
                Serve(group);
                Maintain(all: !isBusy && held is null && _queue.Reader.Count == 0);
            }

            Maintain(all: true);
            _stopped.SetResult();
        }
        catch (Exception exception)
        {
            // A programmer's fault: nobody may wait for ever, and nobody may be told that it is durable.
            _queue.Writer.TryComplete(exception);
            Fail(group, held, exception);
            _stopped.SetResult();
        }
    }

    /// <summary>Waits for the next request; after a large commit the housekeeping waits too, until nothing came for a moment.</summary>
    private bool WaitForWork(bool owesHousekeeping)
    {
        ValueTask<bool> ready = _queue.Reader.WaitToReadAsync();
        if (ready.IsCompleted)
        {
            return ready.Result;
        }

        Task<bool> waiting = ready.AsTask();
        if (owesHousekeeping && !waiting.Wait(Calm))
        {
            Maintain(all: true);
        }

        return waiting.GetAwaiter().GetResult();
    }

    /// <summary>Stages what waits, up to the bounds of one commit; gives back a request that must wait for the next.</summary>
    private JournalRequest? Gather(List<JournalRequest> group, JournalRequest? held)
    {
        group.Clear();
        lock (_gate)
        {
            while (group.Count < MaxRequestsPerCommit && _journal.StagedBytes < CommitBytes)
            {
                JournalRequest? next = held;
                held = null;
                if (next is null && !_queue.Reader.TryRead(out next))
                {
                    break;
                }

                if (next.IsAlone && group.Count > 0)
                {
                    return next;
                }

                group.Add(next);
                next.Stage();
                if (next.IsAlone)
                {
                    break;
                }
            }
        }

        return null;
    }

    private void Serve(List<JournalRequest> group)
    {
        DiskResult result;
        lock (_gate)
        {
            result = _journal.BeginCommit();
        }

        if (result.Fault is null)
        {
            result = _journal.SyncCommit();
        }

        lock (_gate)
        {
            result = _journal.EndCommit(result);
            Commits++;
            foreach (JournalRequest request in group)
            {
                request.Complete(_journal, result);
            }
        }

        group.Clear();
        Interlocked.Exchange(ref _moved, new TaskCompletionSource(TaskCreationOptions.RunContinuationsAsynchronously)).SetResult();
    }

    /// <summary>Housekeeping when nothing waits, and one piece of it when too much has gathered. A fault is tried again after the next commit.</summary>
    private void Maintain(bool all)
    {
        Duration now = Duration.FromTimeSpan(_machineTime.GetElapsedTime(_started));
        bool again = true;
        while (again)
        {
            lock (_gate)
            {
                again = (all || _journal.WaitingToSeal > MaxWaitingToSeal) && _journal.Maintain(now) is { Fault: null, Value: true };
            }

            again = again && _queue.Reader.Count == 0;
        }
    }

    private void Fail(List<JournalRequest> group, JournalRequest? held, Exception exception)
    {
        foreach (JournalRequest request in group)
        {
            request.Done.TrySetException(exception);
        }

        held?.Done.TrySetException(exception);
        while (_queue.Reader.TryRead(out JournalRequest? waiting))
        {
            waiting.Done.TrySetException(exception);
        }
    }
}
