using DotNet.Testcontainers.Builders;
using DotNet.Testcontainers.Containers;
using DotNet.Testcontainers.Images;

namespace KitMesh.Container.Tests;

/// <summary>A container with one KitMesh process in it, as a child, so that the process can die while the container stays.</summary>
internal sealed class MeshNode : IAsyncDisposable
{
    public const int Port = 7433;
    private const string Kitmesh = "/opt/kitmesh/kitmesh";
    private readonly string _words;

    private MeshNode(string name, IContainer container, string words)
    {
        Name = name;
        Container = container;
        _words = words;
    }

    public string Name { get; }

    public IContainer Container { get; }

    /// <param name="image">The image.</param>
    /// <param name="network">The network it is on.</param>
    /// <param name="name">Its name there, and in the mesh.</param>
    /// <param name="words">What its process is started with.</param>
    /// <param name="smallDisk">Megabytes of a disk of its own under /small; none when null.</param>
    public static async Task<MeshNode> StartAsync(IImage image, string network, string name, string words, int? smallDisk = null)
    {
        IContainer container = new ContainerBuilder(image)
            .WithEntrypoint("/bin/sleep", "infinity")
            .WithPortBinding(Port, assignRandomHostPort: true)
            .WithCreateParameterModifier(create =>
            {
                create.HostConfig!.NetworkMode = network;
                create.NetworkingConfig = new() { EndpointsConfig = new Dictionary<string, Docker.DotNet.Models.EndpointSettings> { [network] = new() { Aliases = [name] } } };
                if (smallDisk is { } megabytes)
                {
                    create.HostConfig.Tmpfs = new Dictionary<string, string> { ["/small"] = $"size={megabytes}m,mode=1777" };
                }
            })
            .Build();
        await container.StartAsync(TestContext.Current.CancellationToken);
        return new MeshNode(name, container, words);
    }

    /// <summary>Runs a command and gives what it printed.</summary>
    public async Task<string> RunAsync(string script)
    {
        ExecResult result = await Container.ExecAsync(["/bin/bash", "-c", script], TestContext.Current.CancellationToken);
        Assert.True(result.ExitCode == 0, $"{Name}: {script}\n{result.Stdout}{result.Stderr}");
        return result.Stdout;
    }

    public Task<string> KitmeshAsync(string words) => RunAsync($"{Kitmesh} {words}");

    public Task StartProcessAsync() => RunAsync($"{Kitmesh} {_words} >>/tmp/log 2>&1 & echo $! >/tmp/pid");

    public Task KillProcessAsync() => RunAsync("kill -9 $(cat /tmp/pid)");

    /// <summary>Stops the container as a machine that is switched off, and starts it again.</summary>
    public async Task RestartAsync()
    {
        await Container.StopAsync(TestContext.Current.CancellationToken);
        await Container.StartAsync(TestContext.Current.CancellationToken);
        await StartProcessAsync();
    }

    public async Task<string> LogAsync()
    {
        ExecResult log = await Container.ExecAsync(["/bin/bash", "-c", "tail -c 3000 /tmp/log"], TestContext.Current.CancellationToken);
        return $"{Name}:\n{log.Stdout}";
    }

    public ValueTask DisposeAsync() => Container.DisposeAsync();
}
