using KitMesh.Agent.Link;
using KitMesh.Agent.Options;
using KitMesh.Agent.Outbox;
using KitMesh.Devices;
using KitMesh.Disk;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Sync.Journal;
using Microsoft.Extensions.Hosting;

namespace KitMesh.Agent.Supervision;

/// <summary>Reports the agent's own state at a steady pace of world time: the sign of life, and what it costs.</summary>
internal sealed class StateReporter(
    AgentOptions options,
    AgentSurroundings surroundings,
    AgentCounters counters,
    SampleIntake intake,
    ReportOutbox outbox,
    IJournalView journal,
    HubProgress progress,
    IDisk disk) : BackgroundService
{
    /// <inheritdoc/>
    protected override async Task ExecuteAsync(CancellationToken stoppingToken)
    {
        using var timer = new PeriodicTimer(options.StateEvery, surroundings.Pace);
        do
        {
            await outbox.WriteAsync(new Sample(State()), stoppingToken).ConfigureAwait(false);
        }
        while (await timer.WaitForNextTickAsync(stoppingToken).ConfigureAwait(false));
    }

    private AgentState State()
    {
        DiskResult<DiskSpace> space = disk.Space(options.DataFolder);
        return new AgentState(
            options.Node,
            surroundings.Version,
            counters.WakeUps,
            counters.BytesSent,
            progress.Waiting(journal),
            intake.Load(options.Self)?.Charge,
            new ByteCount(space.Fault is null ? space.Value.FreeBytes : 0),
            (int)Math.Ceiling(options.StateEvery.TotalSeconds));
    }
}
