using System.CommandLine;
using KitMesh.Cli.Frame;
using KitMesh.Domain.Quantities;
using KitMesh.Offload.Drives;

namespace KitMesh.Cli.Commands.Offloading;

/// <summary>Options for what a wattmeter shows, and the cost of a gigabyte that follows from it.</summary>
internal sealed class WattMeter
{
    private static readonly TimeSpan LongestWrite = TimeSpan.FromSeconds(10);

    private readonly Option<double> _watts = OptionKit.Number("--watts", "What a wattmeter before the station shows while this works; with it each drive keeps what a gigabyte costs. 0: not told.", 0.0, 5000.0, 0.0);
    private readonly Option<double> _idle = OptionKit.Number("--idle-watts", "What it shows while the station does nothing.", 0.0, 5000.0, 0.0);

    /// <summary>The options.</summary>
    public IReadOnlyList<Option> Options => [_watts, _idle];

    /// <summary>Refuses a meter that shows less at work than at rest.</summary>
    /// <param name="run">The run.</param>
    public void Check(CommandRun run)
    {
        if (run.Get(_idle) > 0 && run.Get(_idle) >= run.Get(_watts))
        {
            throw CommandFault.BadInput("--idle-watts is not below --watts.", "Read the meter once while it copies and once while it rests.");
        }
    }

    /// <summary>Shares the energy among the drives by their bytes and keeps it on each.</summary>
    /// <param name="run">The run.</param>
    /// <param name="took">How long it worked.</param>
    /// <param name="moved">Bytes written to and read from each drive.</param>
    public void Keep(CommandRun run, TimeSpan took, IReadOnlyList<(string Root, ByteCount Moved)> moved)
    {
        long all = moved.Sum(drive => drive.Moved.Value);
        if (run.Get(_watts) <= 0 || all <= 0)
        {
            return;
        }

        double wattHours = (run.Get(_watts) - run.Get(_idle)) * took.TotalHours;
        foreach ((string root, ByteCount bytes) in moved)
        {
            // A drive that hangs loses its figure and nothing else.
            Task.Run(() => MoveCost.TryAdd(root, new WattHours(wattHours * bytes.Value / all), bytes)).Wait(LongestWrite);
        }

        if (all < MoveCost.LeastBytes)
        {
            run.Talk.Say($"{new ByteCount(all)} moved are too few to tell what a gigabyte costs; each drive keeps them for the next time.");
            return;
        }

        run.Talk.Say($"By the wattmeter a gigabyte cost {new JoulesPerGigabyte(wattHours * 3600 / all * 1e9)} to move; each drive keeps its figure.");
    }
}
