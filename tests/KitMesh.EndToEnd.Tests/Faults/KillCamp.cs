using Grpc.Net.Client;
using KitMesh.Protocol.V1;

namespace KitMesh.EndToEnd.Tests.Faults;

/// <summary>A hub and two agents as processes, each with a reader that never pauses; any of them can lose its power.</summary>
internal sealed class KillCamp : IAsyncDisposable
{
    /// <summary>The agents' names.</summary>
    public static readonly IReadOnlyList<string> Agents = ["ridge-power", "hide-power"];

    private readonly TempFolder _folder = new();
    private readonly Dictionary<string, RunningNode> _agents = [];
    private RunningNode? _hub;
    private TaskCompletionSource _hubIsUp = new(TaskCreationOptions.RunContinuationsAsynchronously);

    public Uri HubAddress { get; private set; } = new("http://127.0.0.1:0");

    public static async Task<KillCamp> StartAsync()
    {
        var camp = new KillCamp();
        await camp.StartHubAsync();
        foreach (string agent in Agents)
        {
            camp._folder.Write($"{agent}.sh", Load);
            camp._folder.Write($"{agent}.yaml", camp.Config(agent));
            await camp.StartAgentAsync(agent);
        }

        return camp;
    }

    public string HubFolder => _folder.At("hub");

    public string JournalOf(string agent) => _folder.At(agent, "journal");

    public async Task StartHubAsync()
    {
        _hub = await RunningNode.StartAsync("hub", "--json", "--data", HubFolder, "--listen", HubAddress.ToString());
        HubAddress = new Uri(_hub.Address);
        Volatile.Read(ref _hubIsUp).SetResult();
    }

    /// <summary>Completes when the hub runs, or at once when it does.</summary>
    public Task WhenHubIsUp() => Volatile.Read(ref _hubIsUp).Task;

    public async Task KillHubAsync()
    {
        Volatile.Write(ref _hubIsUp, new TaskCompletionSource(TaskCreationOptions.RunContinuationsAsynchronously));
        await _hub!.KillAsync();
        await _hub.DisposeAsync();
        _hub = null;
    }

    public async Task StartAgentAsync(string agent) => _agents[agent] = await RunningNode.StartAsync("agent", "--json", "--config", _folder.At($"{agent}.yaml"));

    public async Task KillAgentAsync(string agent)
    {
        await _agents[agent].KillAsync();
        await _agents[agent].DisposeAsync();
        _agents.Remove(agent);
    }

    public async Task<GetStatusResponse> StatusAsync()
    {
        using GrpcChannel channel = GrpcChannel.ForAddress(HubAddress);
        return await new OutlookService.OutlookServiceClient(channel).GetStatusAsync(new GetStatusRequest(), cancellationToken: TestContext.Current.CancellationToken);
    }

    public async ValueTask DisposeAsync()
    {
        foreach (RunningNode agent in _agents.Values)
        {
            await agent.DisposeAsync();
        }

        if (_hub is not null)
        {
            await _hub.DisposeAsync();
        }

        _folder.Dispose();
    }

    // Each value differs from the one before by more than the deadband, so that every line becomes a report. The script
    // ends when nobody listens any more: a killed agent cannot end it.
    private const string Load =
        """
        i=0
        while :; do
          n=0
          while [ $n -lt 10 ]; do
            i=$((i+1)); n=$((n+1))
            echo "{\"report\":\"temperature\",\"subject\":\"ridge box\",\"sensor\":\"load\",\"temperature\":$((i % 60 - 30))}" || exit 1
          done
          sleep 0.1
        done
        """;

    private string Config(string agent) =>
        $$"""
        node: {{agent}}
        data: {{agent}}
        hubs: [{{HubAddress}}]
        stateEvery: 1 s
        sendWait: 20 ms
        linger: 1 s
        keepAcknowledged: 60 d
        readers:
          - name: load
            kind: command
            run: [/bin/sh, {{_folder.At($"{agent}.sh")}}]
        """;
}
