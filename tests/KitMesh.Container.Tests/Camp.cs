using System.Text;
using System.Text.Json;
using DotNet.Testcontainers.Builders;
using DotNet.Testcontainers.Containers;
using KitMesh.Protocol.V1;

namespace KitMesh.Container.Tests;

/// <summary>A hub and a phone agent in containers of their own that share one loopback, where a hub asks nobody who he is.</summary>
internal sealed class Camp : IAsyncDisposable
{
    private const string Inbox = "/var/lib/kitmesh/inbox";
    private const int MostPolls = 240;

    private readonly IContainer _hub;
    private readonly IContainer _phone;
    private int _files;

    private Camp(IContainer hub, IContainer phone)
    {
        _hub = hub;
        _phone = phone;
    }

    public static async Task<Camp> StartAsync(KitMeshImage image)
    {
        // No network but the loopback, which both share. The hub is a child in its container, so that it can be killed
        // while that loopback stays.
        IContainer hub = new ContainerBuilder(await image.GetAsync())
            .WithCreateParameterModifier(create => create.HostConfig!.NetworkMode = "none")
            .WithEntrypoint("/bin/sleep", "infinity")
            .Build();
        await hub.StartAsync(TestContext.Current.CancellationToken);
        IContainer phone = new ContainerBuilder(await image.GetAsync())
            .WithCreateParameterModifier(create => create.HostConfig!.NetworkMode = $"container:{hub.Id}")
            .WithResourceMapping(Encoding.UTF8.GetBytes(PhoneFile), "/etc/kitmesh/agent.yaml")
            .WithEntrypoint("/bin/bash", "-c")
            .WithCommand($"mkdir -p {Inbox} && exec /opt/kitmesh/kitmesh agent --config /etc/kitmesh/agent.yaml")
            .Build();
        await phone.StartAsync(TestContext.Current.CancellationToken);
        var camp = new Camp(hub, phone);
        await camp.StartHubAsync();
        return camp;
    }

    /// <summary>Somebody types readings of the bank.</summary>
    public async Task TypeAsync(int readings)
    {
        int file = ++_files;
        string lines = string.Concat(Enumerable.Range(0, readings).Select(i =>
            JsonSerializer.Serialize(new { report = "battery", subject = "ridge bank", volts = 13 + (i * 0.001), probes = new[] { 4.5 }, rested = true }) + "\n"));
        await ShellAsync(_phone, $"cat > {Inbox}/.{file} <<'END'\n{lines}END\nmv {Inbox}/.{file} {Inbox}/{file}.jsonl");
    }

    /// <summary>The hub's process dies at once.</summary>
    public Task KillHubAsync() => ShellAsync(_hub, "kill -9 $(cat /tmp/hub.pid)");

    public Task StartHubAsync() =>
        ShellAsync(_hub, "/opt/kitmesh/kitmesh hub --data /var/lib/kitmesh/hub --verbose >>/tmp/hub.log 2>&1 & echo $! >/tmp/hub.pid");

    public Task PausePhoneAsync() => _phone.PauseAsync(TestContext.Current.CancellationToken);

    public Task WakePhoneAsync() => _phone.UnpauseAsync(TestContext.Current.CancellationToken);

    /// <summary>Waits until the hub holds a number of battery readings; the last status says how far it came.</summary>
    public async Task<GetStatusResponse?> WaitForReadingsAsync(ulong expected)
    {
        using var poll = new PeriodicTimer(TimeSpan.FromMilliseconds(500));
        GetStatusResponse? last = null;
        for (int i = 0; i < MostPolls && Readings(last) < expected; i++)
        {
            await poll.WaitForNextTickAsync(TestContext.Current.CancellationToken);
            last = await StatusAsync() ?? last;
        }

        return last;
    }

    public static ulong Readings(GetStatusResponse? status) =>
        status?.Kinds.FirstOrDefault(kind => kind.Kind == nameof(BatteryReading))?.Count ?? 0;

    /// <summary>What the containers said, for a failing test.</summary>
    public async Task<string> LogsAsync()
    {
        ExecResult hub = await ShellAsync(_hub, "cat /tmp/hub.log");
        (string phoneOut, string phoneErr) = await _phone.GetLogsAsync(ct: TestContext.Current.CancellationToken);
        return $"hub: {hub.Stdout}\nphone: {phoneOut}{phoneErr}";
    }

    public async ValueTask DisposeAsync()
    {
        await _phone.DisposeAsync();
        await _hub.DisposeAsync();
    }

    private static string PhoneFile => """
        node: ridge-phone
        data: /var/lib/kitmesh/phone
        hubs:
          - http://127.0.0.1:7433
        stateEvery: 1 h
        sendWait: 1 s
        readers:
          - name: typed
            kind: typed
            folder: /var/lib/kitmesh/inbox
            interval: 1 s
        """;

    private static async Task<ExecResult> ShellAsync(IContainer container, string script) =>
        await container.ExecAsync(["/bin/bash", "-c", script], TestContext.Current.CancellationToken);

    /// <summary>Reads the hub's status by JSON; null while it does not answer.</summary>
    private async Task<GetStatusResponse?> StatusAsync()
    {
        ExecResult result = await ShellAsync(_hub, @"exec 3<>/dev/tcp/127.0.0.1/7433 && printf 'GET /v1/status HTTP/1.0\r\nHost: 127.0.0.1\r\n\r\n' >&3 && cat <&3");
        int body = result.Stdout.IndexOf('{', StringComparison.Ordinal);
        return result.ExitCode != 0 || body < 0 ? null : GetStatusResponse.Parser.ParseJson(result.Stdout[body..]);
    }
}
