using KitMesh.Agent.Guard;
using KitMesh.Alerts;
using KitMesh.Devices;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using NodaTime;

namespace KitMesh.Agent.Outbox;

/// <summary>The sink of all readers: first the guard, then the deadbands, then the outbox.</summary>
internal sealed class SampleIntake(
    ReportOutbox outbox,
    PackGuard guard,
    Deadbands deadbands,
    AgentClock clock,
    AgentCounters counters,
    AgentSurroundings surroundings) : ISampleSink
{
    private readonly Lock _gate = new();
    private readonly Dictionary<KitId, LoadReading> _loads = [];
    private readonly Dictionary<KitId, BatteryReading> _batteries = [];

    /// <summary>The newest reading of a load, for the agent's own state.</summary>
    public LoadReading? Load(KitId? load)
    {
        lock (_gate)
        {
            return load is { } name && _loads.TryGetValue(name, out LoadReading? reading) ? reading : null;
        }
    }

    /// <summary>The newest reading of a pack or bank, for readers that must know whether there is power to spare.</summary>
    public BatteryReading? Battery(KitId pack)
    {
        lock (_gate)
        {
            return _batteries.GetValueOrDefault(pack);
        }
    }

    /// <inheritdoc/>
    public async ValueTask WriteAsync(Sample sample, CancellationToken stop)
    {
        counters.CountSample();
        (bool passes, IReadOnlyList<AlertChange> changes) = Judge(sample);
        foreach (AlertChange change in changes)
        {
            // Said before anything is written: the disk may be slow, or full.
            surroundings.Say(change.Phase == AlertPhase.Raised
                ? $"ALERT {change.Alert.Rule}, {change.Alert.Subject}: {change.Alert.What} {change.Alert.Do}"
                : $"Cleared: {change.Alert.Rule}, {change.Alert.Subject}: {change.Alert.What}");
        }

        if (passes)
        {
            await outbox.WriteAsync(sample, stop).ConfigureAwait(false);
        }

        foreach (AlertChange change in changes)
        {
            bool raised = change.Phase == AlertPhase.Raised;
            string message = raised ? $"{change.Alert.What} {change.Alert.Do}" : change.Alert.What;
            await outbox.WriteAsync(new Sample(new AlertChanged(change.Alert.Rule, change.Alert.Subject, raised, message)), stop).ConfigureAwait(false);
        }
    }

    /// <inheritdoc/>
    public ValueTask FlushAsync(CancellationToken stop) => outbox.FlushAsync(stop);

    private (bool Passes, IReadOnlyList<AlertChange> Changes) Judge(Sample sample)
    {
        long monotonic = clock.Read().MonotonicNanoseconds;
        lock (_gate)
        {
            // A fact read out of a file afterwards tells of then: the guard speaks of now.
            IReadOnlyList<AlertChange> changes = sample is { Taken: null, Body: BatteryReading reading } ? guard.See(reading, monotonic) : [];
            if (sample.Body is LoadReading load)
            {
                _loads[load.Load] = load;
            }

            if (sample is { Taken: null, Body: BatteryReading battery })
            {
                _batteries[battery.Pack] = battery;
            }

            Duration at = Duration.FromNanoseconds(monotonic);
            bool passes = sample.Taken is not null || deadbands.Passes(sample.Body, at);
            if (!passes && changes.Count > 0)
            {
                // The reading behind an alert is always reported with it.
                deadbands.Remember(sample.Body, at);
                passes = true;
            }

            return (passes, changes);
        }
    }
}
