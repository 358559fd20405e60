using System.Threading.Channels;
using KitMesh.Devices;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Time;
using KitMesh.Protocol.Reports;
using KitMesh.Sync.Journal;
using Microsoft.Extensions.Hosting;
using NodaTime;

namespace KitMesh.Agent.Outbox;

// Problem: each sync of the journal and each start of the radio costs energy, and a reading is small; yet an alert must
// not wait, and nobody may believe in a report that is not on the medium.
// Method: one bounded queue, one writer. The first reading starts a wait of at most "sendWait" of world time in which
// others join it; anything urgent (an alert, a copy, a flush, a queue half full) ends it. Then one append makes the
// whole batch durable, and the link is told. A failed append is tried again with the same batch; meanwhile the queue
// fills. Trap: a reader that waits for room in the queue shows the guard nothing, so a full disk would silence the alarm
// about a freezing pack. While appends fail nobody waits with a reading: newer ones are left out and counted, rather than
// older ones thrown away. Alerts that find the queue full have a small one of their own. What is neither (a copy, a typed
// fact) still waits.

/// <summary>Brings reports into the journal, many at a time.</summary>
internal sealed class ReportOutbox : BackgroundService
{
    private const int MostInBatch = 2_000;
    private const int MostBytes = 4 << 20;

    /// <summary>Alerts held beside a full queue while the disk fails.</summary>
    private const int MostHeldAlerts = 64;

    private static readonly TimeSpan PauseAfterFailure = TimeSpan.FromSeconds(5);

    private readonly IJournalWriter _journal;
    private readonly AgentClock _clock;
    private readonly AgentCounters _counters;
    private readonly AgentSurroundings _surroundings;
    private readonly TimeSpan _wait;
    private readonly int _half;
    private readonly Channel<OutboxItem> _queue;
    private readonly List<OutboxItem> _batch = [];
    private readonly Channel<OutboxItem> _alerts = Channel.CreateBounded<OutboxItem>(new BoundedChannelOptions(MostHeldAlerts) { SingleReader = true });
    private CancellationTokenSource _stuck = new();
    private int _leftOut;

    public ReportOutbox(IJournalWriter journal, AgentClock clock, AgentCounters counters, AgentSurroundings surroundings, TimeSpan wait, int queue)
    {
        _journal = journal;
        _clock = clock;
        _counters = counters;
        _surroundings = surroundings;
        _wait = wait;
        _half = queue / 2;
        _queue = Channel.CreateBounded<OutboxItem>(new BoundedChannelOptions(queue) { SingleReader = true });
    }

    /// <summary>Raised after a batch became durable.</summary>
    public event Action? Grew;

    /// <summary>Stamps, encodes and queues one fact; waits while the queue is full, but with a reading or an alert not for a disk that fails.</summary>
    public async ValueTask WriteAsync(Sample sample, CancellationToken stop)
    {
        (HybridTime hybrid, DeviceTime written) = _clock.Stamp();
        byte[] bytes = ReportCodec.Encode(hybrid, sample.Taken is { } taken ? AsOf(written, taken) : written, sample.Body);
        var item = new OutboxItem(bytes, IsUrgent(sample.Body), null);
        bool isAlert = sample.Body is AlertChanged;
        if (sample.Taken is not null || (item.Urgent && !isAlert))
        {
            await _queue.Writer.WriteAsync(item, stop).ConfigureAwait(false);
            return;
        }

        while (!await TryWriteAsync(item, isAlert, stop).ConfigureAwait(false))
        {
            // Room has come, or the disk has begun to fail: look again.
        }
    }

    private async ValueTask<bool> TryWriteAsync(OutboxItem item, bool isAlert, CancellationToken stop)
    {
        CancellationToken stuck = Volatile.Read(ref _stuck).Token;
        if (_queue.Writer.TryWrite(item))
        {
            return true;
        }

        if (stuck.IsCancellationRequested)
        {
            if (!isAlert || !_alerts.Writer.TryWrite(item))
            {
                Interlocked.Increment(ref _leftOut);
            }

            return true;
        }

        using var either = CancellationTokenSource.CreateLinkedTokenSource(stop, stuck);
        try
        {
            return !await _queue.Writer.WaitToWriteAsync(either.Token).ConfigureAwait(false) ? throw new ChannelClosedException() : false;
        }
        catch (OperationCanceledException) when (!stop.IsCancellationRequested)
        {
            return false;
        }
    }

    /// <summary>Waits until everything queued so far is durable.</summary>
    public async ValueTask FlushAsync(CancellationToken stop)
    {
        var done = new TaskCompletionSource(TaskCreationOptions.RunContinuationsAsynchronously);
        await _queue.Writer.WriteAsync(new OutboxItem(default, true, done), stop).ConfigureAwait(false);
        await done.Task.WaitAsync(stop).ConfigureAwait(false);
    }

    /// <summary>Takes what is left, once the readers have ended.</summary>
    public override async Task StopAsync(CancellationToken cancellationToken)
    {
        _queue.Writer.TryComplete();
        if (ExecuteTask is { } running)
        {
            await running.WaitAsync(cancellationToken).ConfigureAwait(ConfigureAwaitOptions.SuppressThrowing);
        }

        await base.StopAsync(cancellationToken).ConfigureAwait(false);
    }

    /// <inheritdoc/>
    protected override async Task ExecuteAsync(CancellationToken stoppingToken)
    {
        while (_alerts.Reader.Count > 0 || await _queue.Reader.WaitToReadAsync(stoppingToken).ConfigureAwait(false))
        {
            _counters.CountWakeUp();
            await GatherAsync(stoppingToken).ConfigureAwait(false);
            await CommitAsync(stoppingToken).ConfigureAwait(false);
        }
    }

    // A reading is part of a stream of its kind; everything else is an event that somebody may be waiting for.
    private static bool IsUrgent(ReportBody body) =>
        body is not (BatteryReading or PanelReading or LoadReading or TemperatureReading or DriveState or AgentState or ReaderFault { Cleared: true });

    // A fact read afterwards: both clocks are set back alike, so that re-timing moves it with everything of this boot.
    private static DeviceTime AsOf(DeviceTime now, Instant taken) =>
        now with { Wall = taken, MonotonicNanoseconds = now.MonotonicNanoseconds - (long)(now.Wall - taken).TotalNanoseconds };

    private async Task GatherAsync(CancellationToken stop)
    {
        using var wait = new CancellationTokenSource(_wait, _surroundings.Pace);
        using var both = CancellationTokenSource.CreateLinkedTokenSource(stop, wait.Token);
        int bytes = 0;
        while (_batch.Count < MostInBatch && bytes < MostBytes)
        {
            if (_alerts.Reader.TryRead(out OutboxItem item) || _queue.Reader.TryRead(out item))
            {
                _batch.Add(item);
                bytes += item.Bytes.Length;
                continue;
            }

            if (_batch.Exists(i => i.Urgent) || _batch.Count >= _half || wait.IsCancellationRequested || !await MoreAsync(both.Token, stop).ConfigureAwait(false))
            {
                return;
            }
        }
    }

    private async Task<bool> MoreAsync(CancellationToken both, CancellationToken stop)
    {
        try
        {
            return await _queue.Reader.WaitToReadAsync(both).ConfigureAwait(false);
        }
        catch (OperationCanceledException) when (!stop.IsCancellationRequested)
        {
            return false;
        }
    }

    private async Task CommitAsync(CancellationToken stop)
    {
        List<OwnReportEncoder> encoders = [.. _batch.Where(i => i.Bytes.Length > 0).Select(i => new OwnReportEncoder(_ => i.Bytes))];
        bool complained = false;
        while (encoders.Count > 0)
        {
            OwnAppend append = await _journal.AppendOwnAsync(encoders, stop).ConfigureAwait(false);
            if (append.Result is AppendResult.Durable)
            {
                break;
            }

            if (!complained)
            {
                complained = true;
                await Volatile.Read(ref _stuck).CancelAsync().ConfigureAwait(false);
                _surroundings.Say($"{Words(append.Result)} Nothing is lost yet: readings wait, as many as there is room for, and older reports stay as they are. The guard goes on. Make room or mend the disk.");
            }

            await Task.Delay(PauseAfterFailure, _surroundings.MachineTime, stop).ConfigureAwait(false);
        }

        if (complained)
        {
            Volatile.Write(ref _stuck, new CancellationTokenSource());
            _surroundings.Say($"The disk takes reports again. {Interlocked.Exchange(ref _leftOut, 0)} reports were left out meanwhile.");
        }

        foreach (OutboxItem item in _batch)
        {
            item.Done?.TrySetResult();
        }

        _batch.Clear();
        if (encoders.Count > 0)
        {
            _counters.CountWritten(encoders.Count);
            Grew?.Invoke();
        }
    }

    private static string Words(AppendResult result) => result switch
    {
        AppendResult.Failed failed => failed.Fault.ToString(),
        AppendResult.Refused refused => $"The journal refused a batch: {refused.Reason}.",
        _ => "The journal did not take a batch.",
    };
}
