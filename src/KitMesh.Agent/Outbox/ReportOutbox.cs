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
// fills, and readers wait: newer readings are not taken rather than older ones thrown away.

/// <summary>Brings reports into the journal, many at a time.</summary>
internal sealed class ReportOutbox : BackgroundService
{
    private const int MostInBatch = 2_000;
    private const int MostBytes = 4 << 20;
    private static readonly TimeSpan PauseAfterFailure = TimeSpan.FromSeconds(5);

    private readonly IJournalWriter _journal;
    private readonly AgentClock _clock;
    private readonly AgentCounters _counters;
    private readonly AgentSurroundings _surroundings;
    private readonly TimeSpan _wait;
    private readonly int _half;
    private readonly Channel<OutboxItem> _queue;
    private readonly List<OutboxItem> _batch = [];

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

    /// <summary>Stamps, encodes and queues one fact; waits while the queue is full.</summary>
    public async ValueTask WriteAsync(Sample sample, CancellationToken stop)
    {
        (HybridTime hybrid, DeviceTime written) = _clock.Stamp();
        byte[] bytes = ReportCodec.Encode(hybrid, sample.Taken is { } taken ? AsOf(written, taken) : written, sample.Body);
        await _queue.Writer.WriteAsync(new OutboxItem(bytes, IsUrgent(sample.Body), null), stop).ConfigureAwait(false);
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
        while (await _queue.Reader.WaitToReadAsync(stoppingToken).ConfigureAwait(false))
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
            if (_queue.Reader.TryRead(out OutboxItem item))
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
                _surroundings.Say($"{Words(append.Result)} Nothing is lost yet: readings wait, and older reports stay as they are. Make room or mend the disk.");
            }

            await Task.Delay(PauseAfterFailure, _surroundings.MachineTime, stop).ConfigureAwait(false);
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
