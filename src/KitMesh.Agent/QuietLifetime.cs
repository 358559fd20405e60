using Microsoft.Extensions.Hosting;

namespace KitMesh.Agent;

/// <summary>Leaves signals and the console to the process that hosts the agent: the command, or a test.</summary>
internal sealed class QuietLifetime : IHostLifetime
{
    /// <inheritdoc/>
    public Task WaitForStartAsync(CancellationToken cancellationToken) => Task.CompletedTask;

    /// <inheritdoc/>
    public Task StopAsync(CancellationToken cancellationToken) => Task.CompletedTask;
}
