using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Sync.Journal;

namespace KitMesh.Hub.Ingest;

/// <summary>Writes this hub's own sign of life, as every agent does: at start, then every hour of machine time.</summary>
internal sealed class SignOfLife : IAsyncDisposable
{
    private static readonly TimeSpan Every = TimeSpan.FromHours(1);
    private readonly ReportIntake _intake;
    private readonly HubOptions _options;
    private readonly HubClocks _clocks;
    private readonly BackgroundRun _run;
    private long _wakeUps;

    public SignOfLife(ReportIntake intake, HubOptions options, HubClocks clocks)
    {
        (_intake, _options, _clocks) = (intake, options, clocks);
        _run = new BackgroundRun(RunAsync);
    }

    /// <summary>Begins.</summary>
    public void Start() => _run.Start();

    /// <inheritdoc/>
    public ValueTask DisposeAsync() => _run.DisposeAsync();

    private async Task RunAsync(CancellationToken stop)
    {
        using var timer = new PeriodicTimer(Every, _clocks.Machine);
        do
        {
            _wakeUps++;
            await _intake.WriteAsync([State()], stop).ConfigureAwait(false);
        }
        while (await timer.WaitForNextTickAsync(stop).ConfigureAwait(false));
    }

    private AgentState State() => new(
        _options.Node,
        typeof(SignOfLife).Assembly.GetName().Version?.ToString(3) ?? "",
        _wakeUps,
        0,
        0,
        null,
        new ByteCount(new DriveInfo(Path.GetFullPath(_options.DataFolder)).AvailableFreeSpace),
        (int)Every.TotalSeconds);
}
