using KitMesh.Devices;
using KitMesh.Devices.Options;
using NodaTime;

namespace KitMesh.TestKit.Devices;

/// <summary>Runs one reader from a piece of agent file until the test is over.</summary>
public sealed class ReaderBench : IAsyncDisposable
{
    private readonly CancellationTokenSource _stop = new();
    private readonly IReader _reader;
    private readonly Task _run;
    private int _wakeUps;

    private ReaderBench(ReaderFactory make, TimeProvider pace, string stateFolder)
    {
        Clock = new ManualDeviceClock(Instant.FromUtc(2027, 2, 10, 12, 0));
        _reader = make(new ReaderContext(TimeProvider.System, pace, Clock, stateFolder, () => Interlocked.Increment(ref _wakeUps)));
        _run = _reader.RunAsync(Sink, _stop.Token);
    }

    /// <summary>What the reader wrote.</summary>
    public RecordingSink Sink { get; } = new();

    /// <summary>The device's clock.</summary>
    public ManualDeviceClock Clock { get; }

    /// <summary>How often it woke.</summary>
    public int WakeUps => Volatile.Read(ref _wakeUps);

    /// <summary>The reader's task, to see whether it broke.</summary>
    public Task Run => _run;

    /// <summary>Starts a reader of a kind.</summary>
    public static ReaderBench Start(string kind, string yaml, TimeProvider pace, string stateFolder)
    {
        ReaderFactory? make = Configure(kind, yaml, out IReadOnlyList<OptionProblem> problems);
        return make is null || problems.Count > 0
            ? throw new InvalidOperationException(string.Join('\n', problems))
            : new ReaderBench(make, pace, stateFolder);
    }

    /// <summary>Reads the options of a kind.</summary>
    public static ReaderFactory? Configure(string kind, string yaml, out IReadOnlyList<OptionProblem> problems)
    {
        var all = new List<OptionProblem>();
        problems = all;
        OptionMap? map = OptionMap.Parse("/trip/agent.yaml", yaml, all);
        ReaderFactory? make = map is null ? null : ReaderCatalogue.All.Single(k => k.Name == kind).Configure("reader", map);
        map?.RefuseUnknownKeys();
        return make;
    }

    /// <inheritdoc/>
    public async ValueTask DisposeAsync()
    {
        await _stop.CancelAsync();
        await _run.ConfigureAwait(ConfigureAwaitOptions.SuppressThrowing);
        await _reader.DisposeAsync();
        _stop.Dispose();
    }
}
