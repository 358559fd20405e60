using System.Globalization;
using System.Text;
using System.Text.Json;
using DotNet.Testcontainers.Builders;
using DotNet.Testcontainers.Images;
using DotNet.Testcontainers.Networks;
using Grpc.Core;
using Grpc.Net.Client;
using KitMesh.Agent.Identity;
using KitMesh.Protocol.Certificates;
using KitMesh.Protocol.V1;

namespace KitMesh.Container.Tests;

/// <summary>Two team hubs that dial a base camp, each with a phone agent, all enrolled over TLS, on a network that can be cut.</summary>
internal sealed class ThreeHubs : IAsyncDisposable
{
    private const string Inbox = "/var/lib/kitmesh/inbox";
    private const int MostPolls = 600;

    private readonly string _folder = Directory.CreateTempSubdirectory("kitmesh-three-").FullName;
    private readonly Dictionary<string, IdentityFolder> _readers = [];
    private INetwork? _bridge;
    private int _files;

    private ThreeHubs()
    {
    }

    public MeshNetwork Network { get; private set; } = null!;

    public MeshNode Camp { get; private set; } = null!;

    public MeshNode Ridge { get; private set; } = null!;

    public MeshNode Hide { get; private set; } = null!;

    public MeshNode RidgePhone { get; private set; } = null!;

    public MeshNode HidePhone { get; private set; } = null!;

    private MeshNode[] Hubs => [Camp, Ridge, Hide];

    public static async Task<ThreeHubs> StartAsync(KitMeshImage image)
    {
        var three = new ThreeHubs();
        try
        {
            await three.BuildAsync(await image.GetAsync());
            return three;
        }
        catch
        {
            await three.DisposeAsync();
            throw;
        }
    }

    /// <summary>Somebody types readings of the bank into a phone.</summary>
    public async Task TypeAsync(MeshNode phone, int readings)
    {
        int file = ++_files;
        string lines = string.Concat(Enumerable.Range(0, readings).Select(i =>
            JsonSerializer.Serialize(new { report = "battery", subject = "ridge bank", volts = 13 + (i * 0.001) + file, probes = new[] { 4.5 }, rested = true }) + "\n"));
        await phone.RunAsync($"mkdir -p {Inbox} && cat > {Inbox}/.{file} <<'END'\n{lines}END\nmv {Inbox}/.{file} {Inbox}/{file}.jsonl");
    }

    /// <summary>Waits until all hubs hold a number of battery readings, each phone's as one run without a gap.</summary>
    public async Task WaitForAsync(ulong readings, params MeshNode[] hubs)
    {
        using var poll = new PeriodicTimer(TimeSpan.FromMilliseconds(500));
        var last = new Dictionary<string, string>();
        for (int i = 0; i < MostPolls; i++)
        {
            last.Clear();
            foreach (MeshNode hub in hubs.Length == 0 ? Hubs : hubs)
            {
                GetStatusResponse? status = await StatusAsync(hub);
                last[hub.Name] = status is null ? "does not answer" : $"{CountOf(status)} readings, {status.Reports} reports";
                if (status is not null && CountOf(status) == readings && status.Origins.Where(IsPhone).All(origin => origin.Ranges.Count == 1))
                {
                    last.Remove(hub.Name);
                }
            }

            if (last.Count == 0)
            {
                return;
            }

            await poll.WaitForNextTickAsync(TestContext.Current.CancellationToken);
        }

        string logs = string.Join("\n", await Task.WhenAll(new[] { Camp, Ridge, Hide, RidgePhone, HidePhone }.Select(node => node.LogAsync())));
        Assert.Fail($"{readings} readings were typed; {string.Join(", ", last.Select(pair => $"{pair.Key}: {pair.Value}"))}\n{logs}");
    }

    /// <summary>Waits until all hubs hold the same reports and derive the same state from them.</summary>
    public async Task WaitForEqualAsync()
    {
        using var poll = new PeriodicTimer(TimeSpan.FromMilliseconds(500));
        string last = "";
        for (int i = 0; i < MostPolls; i++)
        {
            var prints = new List<string>();
            foreach (MeshNode hub in Hubs)
            {
                GetStatusResponse? status = await StatusAsync(hub);
                prints.Add(status is null ? $"{hub.Name} does not answer" : $"holdings {status.HoldingsFingerprint}, state {status.StateFingerprint}");
            }

            if (prints.Distinct().Count() == 1)
            {
                return;
            }

            last = string.Join("\n", prints);
            await poll.WaitForNextTickAsync(TestContext.Current.CancellationToken);
        }

        Assert.Fail($"The hubs do not become equal:\n{last}");
    }

    /// <summary>Fills a hub's small disk to the last byte; what the hub frees meanwhile is filled as well.</summary>
    public static Task FillDiskAsync(MeshNode hub) =>
        hub.RunAsync("for i in $(seq 50); do dd if=/dev/zero bs=4k >>/small/filler 2>/dev/null; df --output=avail /small | tail -1 | grep -qx ' *0' && exit 0; done; df /small >&2; exit 1");

    public static ulong CountOf(GetStatusResponse status) => status.Kinds.FirstOrDefault(kind => kind.Kind == nameof(BatteryReading))?.Count ?? 0;

    /// <summary>What a hub says of itself; null while it does not answer.</summary>
    public async Task<GetStatusResponse?> StatusAsync(MeshNode hub)
    {
        if (!_readers[hub.Name].TryLoad(out NodeIdentity? identity, out string? why))
        {
            throw new InvalidOperationException(why);
        }

        using (identity)
        using (GrpcChannel channel = GrpcChannel.ForAddress(AddressOf(hub), new GrpcChannelOptions { HttpHandler = identity.CreateHandler(), DisposeHttpClient = true }))
        {
            try
            {
                return await new OutlookService.OutlookServiceClient(channel).GetStatusAsync(
                    new GetStatusRequest(),
                    deadline: DateTime.UtcNow.AddSeconds(20),
                    cancellationToken: TestContext.Current.CancellationToken);
            }
            catch (RpcException)
            {
                return null;
            }
        }
    }

    public async ValueTask DisposeAsync()
    {
        foreach (MeshNode? node in new[] { RidgePhone, HidePhone, Ridge, Hide, Camp })
        {
            if (node is not null)
            {
                await node.DisposeAsync();
            }
        }

        Network?.Dispose();
        if (_bridge is not null)
        {
            await _bridge.DisposeAsync();
        }

        Directory.Delete(_folder, recursive: true);
    }

    private static bool IsPhone(OriginStatus origin) => origin.Origin.Node.EndsWith("-phone", StringComparison.Ordinal);

    private static Uri AddressOf(MeshNode hub) => new($"https://{hub.Container.Hostname}:{hub.Container.GetMappedPublicPort(MeshNode.Port)}");

    private static string HubWords(string node, string data) =>
        $"hub --node {node} --data {data} --listen https://0.0.0.0:{MeshNode.Port} --verbose{(node == "base-camp" ? "" : " --trip /tmp/trip.yaml")}";

    private static string TripFile => $"""
        trip:
          name: short trip
          firstDay: 2027-02-08
          lastDay: 2027-02-10
          zone: "+06:00"
        places:
          - name: base camp
            latitude: 41.9
            longitude: 77.6
            altitude: 3900 m
            night: -28 °C
            day: -6 °C
        teams:
          - name: base team
            home: base camp
        links:
          - from: ridge-hub
            to: base-camp
            address: https://base-camp:{MeshNode.Port}
            quality: thin
          - from: hide-hub
            to: base-camp
            address: https://base-camp:{MeshNode.Port}
        """;

    private async Task BuildAsync(IImage image)
    {
        _bridge = new NetworkBuilder().WithName($"kitmesh-{Guid.CreateVersion7():N}").Build();
        await _bridge.CreateAsync(TestContext.Current.CancellationToken);
        Network = new MeshNetwork(_bridge.Name);
        Camp = await MeshNode.StartAsync(image, Network.Name, "base-camp", HubWords("base-camp", "/var/lib/kitmesh/hub"));
        await Camp.StartProcessAsync();
        Ridge = await JoinHubAsync(image, "ridge-hub", "/small/hub", smallDisk: 48);
        Hide = await JoinHubAsync(image, "hide-hub", "/var/lib/kitmesh/hub", smallDisk: null);
        RidgePhone = await JoinPhoneAsync(image, "ridge-phone", Ridge, "/small/hub");
        HidePhone = await JoinPhoneAsync(image, "hide-phone", Hide, "/var/lib/kitmesh/hub");
        _readers[Camp.Name] = await JoinReaderAsync(Camp, "/var/lib/kitmesh/hub");
        _readers[Ridge.Name] = await JoinReaderAsync(Ridge, "/small/hub");
        _readers[Hide.Name] = await JoinReaderAsync(Hide, "/var/lib/kitmesh/hub");
    }

    private async Task<MeshNode> JoinHubAsync(IImage image, string name, string data, int? smallDisk)
    {
        MeshNode hub = await MeshNode.StartAsync(image, Network.Name, name, HubWords(name, data), smallDisk);
        string code = await CodeAsync(Camp, "/var/lib/kitmesh/hub", name, "hub");
        await hub.KitmeshAsync($"enrol --hub https://base-camp:{MeshNode.Port} --data {data} <<< '{code}'");
        await hub.RunAsync($"cat > /tmp/trip.yaml <<'END'\n{TripFile}\nEND");
        await hub.StartProcessAsync();
        return hub;
    }

    private async Task<MeshNode> JoinPhoneAsync(IImage image, string name, MeshNode hub, string data)
    {
        string file = $"""
            node: {name}
            data: /var/lib/kitmesh/phone
            identity: /var/lib/kitmesh/identity
            hubs:
              - https://{hub.Name}:{MeshNode.Port}
            stateEvery: 1 h
            sendWait: 1 s
            readers:
              - name: typed
                kind: typed
                folder: {Inbox}
                interval: 1 s
            """;
        MeshNode phone = await MeshNode.StartAsync(image, Network.Name, name, "agent --config /tmp/agent.yaml");
        string code = await CodeAsync(hub, data, name, "writer");
        await phone.KitmeshAsync($"enrol --hub https://{hub.Name}:{MeshNode.Port} --identity /var/lib/kitmesh/identity <<< '{code}'");
        await phone.RunAsync($"mkdir -p {Inbox} && cat > /tmp/agent.yaml <<'END'\n{file}\nEND");
        await phone.StartProcessAsync();
        return phone;
    }

    /// <summary>This test asks as a reader of its own.</summary>
    private async Task<IdentityFolder> JoinReaderAsync(MeshNode hub, string data)
    {
        string text = await CodeAsync(hub, data, $"eye-{hub.Name}", "reader");
        Assert.True(EnrolCode.TryParse(text, out EnrolCode? code));
        EnrolOutcome outcome = await new EnrolClient(AddressOf(hub), null).EnrolAsync(code, TimeProvider.System, TestContext.Current.CancellationToken);
        var folder = new IdentityFolder(Path.Combine(_folder, hub.Name));
        folder.Save(Assert.IsType<EnrolOutcome.Enrolled>(outcome));
        return folder;
    }

    /// <summary>A one-time code, as soon as the hub answers.</summary>
    private static async Task<string> CodeAsync(MeshNode hub, string data, string node, string role)
    {
        string words = string.Create(CultureInfo.InvariantCulture, $"enrol code --data {data} --node {node} --role {role} --json");
        string said = await hub.RunAsync($"for i in $(seq 120); do /opt/kitmesh/kitmesh {words} 2>/tmp/why && exit 0; sleep 0.5; done; cat /tmp/why /tmp/log >&2; exit 1");
        return JsonDocument.Parse(Encoding.UTF8.GetBytes(said.Trim())).RootElement.GetProperty("code").GetString()!;
    }
}
