using System.CommandLine;
using KitMesh.Cli.Frame;
using KitMesh.Demo.Clock;
using KitMesh.Domain.Time;

namespace KitMesh.Cli.Running;

/// <summary>The two options by which the demo gives its hub and agents an accelerated world; not shown in help.</summary>
internal sealed class WorldClockOptions
{
    private readonly Option<string?> _file = Hidden<string?>("--world-clock", "The demo's shared clock: a mapped file that `kitmesh demo` made.");
    private readonly Option<bool> _dead = Hidden<bool>("--dead-clock", "With --world-clock: this device's wall clock lost its battery and counts from 1970.");

    /// <summary>Adds the options to a command.</summary>
    public void AddTo(Command command)
    {
        command.Options.Add(_file);
        command.Options.Add(_dead);
    }

    /// <summary>The clocks that the command line asks for.</summary>
    public RunClocks Read(CommandRun run, ClockTrust trust)
    {
        Surroundings surroundings = run.Surroundings;
        if (run.Get(_file) is not { } path)
        {
            return RunClocks.Real(surroundings);
        }

        if (!File.Exists(path))
        {
            throw CommandFault.BadInput($"There is no clock file {path}.", "kitmesh demo makes it; leave --world-clock out in the field.");
        }

        WorldClockFile file = WorldClockFile.Open(path, surroundings.Machine);
        bool dead = run.Get(_dead);
        var device = new WorldDeviceClock(file, new BootId(surroundings.Ids()), dead ? ClockTrust.Unknown : trust, dead ? file.Now : null);
        return new RunClocks(new WorldClock(file), surroundings.Machine, new WorldPace(file, surroundings.Machine), device);
    }

    private static Option<T> Hidden<T>(string name, string description) => new(name) { Description = description, Hidden = true };
}
