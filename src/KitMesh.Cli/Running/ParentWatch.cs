using System.CommandLine;
using KitMesh.Cli.Frame;

namespace KitMesh.Cli.Running;

/// <summary>
/// A child of the demo ends when its stdin does: then no hub and no agent outlives a demo that was killed. Hidden option.
/// </summary>
internal sealed class ParentWatch
{
    private readonly Option<bool> _option = new("--stop-with-stdin") { Description = "Stop when stdin ends.", Hidden = true };

    /// <summary>Adds the option to a command.</summary>
    public void AddTo(Command command) => command.Options.Add(_option);

    /// <summary>Starts to watch when asked to.</summary>
    public void Start(CommandRun run)
    {
        if (run.Get(_option))
        {
            _ = WatchAsync(run.Surroundings.Stop);
        }
    }

    private static async Task WatchAsync(StopRequest stop)
    {
        await using Stream input = Console.OpenStandardInput();
        byte[] sink = new byte[64];
        while (await input.ReadAsync(sink) > 0)
        {
            // Nothing is expected on it; only its end counts.
        }

        stop.Ask();
    }
}
