using KitMesh.Agent;
using KitMesh.Agent.Options;
using KitMesh.Domain.Exchange;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Reports;
using KitMesh.Protocol.Reports;
using KitMesh.TestKit.Devices;
using Microsoft.Extensions.Time.Testing;
using NodaTime;

namespace KitMesh.TestKit.Agent;

/// <summary>An agent in this process, over a folder of its own, with world time that the test moves.</summary>
public sealed class AgentBench : IAsyncDisposable
{
    private static readonly TimeSpan Patience = TimeSpan.FromSeconds(120);
    private static ulong _ids = 0x5EED;

    private readonly List<string> _said = [];

    private AgentBench(AgentHost host, ScriptedReader reader, ManualDeviceClock clock, FakeTimeProvider pace, List<string> said)
    {
        Host = host;
        Reader = reader;
        Clock = clock;
        Pace = pace;
        _said = said;
    }

    public AgentHost Host { get; }

    public ScriptedReader Reader { get; }

    public ManualDeviceClock Clock { get; }

    public FakeTimeProvider Pace { get; }

    /// <summary>What it said to a person.</summary>
    public IReadOnlyList<string> Said
    {
        get
        {
            lock (_said)
            {
                return [.. _said];
            }
        }
    }

    /// <summary>The options of an agent called "ridge-power" with one scripted reader.</summary>
    public static AgentOptions Options(string folder, ScriptedReader reader, IReadOnlyList<Uri>? hubs = null, IReadOnlyList<Pack>? packs = null) => new(
        NodeId.Parse("ridge-power"),
        folder,
        hubs ?? [],
        StateEvery: TimeSpan.FromHours(24),
        SendWait: TimeSpan.FromSeconds(10),
        Linger: TimeSpan.Zero,
        KeepAcknowledged: TimeSpan.FromDays(3),
        Queue: 64,
        Self: null,
        DeadbandOptions.Default,
        packs ?? [],
        [new ReaderOptions("scripted", "scripted", reader.Factory)]);

    /// <summary>Starts an agent.</summary>
    public static async Task<AgentBench> StartAsync(AgentOptions options, ScriptedReader reader, Instant? wall = null)
    {
        var clock = new ManualDeviceClock(wall ?? Instant.FromUtc(2027, 2, 14, 18, 0));
        var pace = new FakeTimeProvider();
        var said = new List<string>();
        var surroundings = new AgentSurroundings(TimeProvider.System, pace, clock, () => Interlocked.Increment(ref _ids), "test", words =>
        {
            lock (said)
            {
                said.Add(words);
            }
        });
        AgentHost host = AgentHost.Open(options, surroundings, out string? why) ?? throw new InvalidOperationException(why);
        await host.StartAsync(default);
        return new AgentBench(host, reader, clock, pace, said);
    }

    /// <summary>Waits until a condition holds.</summary>
    public static async Task UntilAsync(Func<bool> condition)
    {
        using var patience = new CancellationTokenSource(Patience);
        while (!condition())
        {
            patience.Token.ThrowIfCancellationRequested();
            await Task.Yield();
        }
    }

    /// <summary>Every report of this agent's present epoch, from its journal.</summary>
    public IReadOnlyList<Report> Reports()
    {
        ulong last = Host.Journal.Have(Host.Own)?.Ranges.Last ?? 0;
        return last == 0 ? [] : [.. Host.Journal.Read(Host.Own, new SequenceRange(1, last), 8 << 20).Reports.Select(ReportCodec.Decode)];
    }

    /// <summary>The bodies of a kind in its journal.</summary>
    public IReadOnlyList<T> Journalled<T>()
        where T : ReportBody => [.. Reports().Select(r => r.Body).OfType<T>()];

    /// <inheritdoc/>
    public ValueTask DisposeAsync() => Host.DisposeAsync();
}
