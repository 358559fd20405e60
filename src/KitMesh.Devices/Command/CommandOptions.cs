using KitMesh.Devices.Options;

namespace KitMesh.Devices.Command;

/// <summary>Options of a program that prints readings.</summary>
/// <param name="Run">The program and its arguments; no shell is involved.</param>
/// <param name="Every">World time between runs; null for a program that keeps running.</param>
/// <param name="Timeout">Machine time after which a run is ended; only for runs that repeat.</param>
internal sealed record CommandOptions(IReadOnlyList<string> Run, TimeSpan? Every, TimeSpan Timeout)
{
    /// <summary>Reads the options.</summary>
    public static CommandOptions Read(OptionMap map)
    {
        IReadOnlyList<string> run = map.Texts("run");
        if (run.Count == 0)
        {
            map.AddProblem("run", "No program is named.", "Write \"run: [/path/to/program, argument]\".");
        }

        TimeSpan? every = map.Has("every") ? map.Time("every", PollLoop.Shortest, TimeSpan.FromHours(24), TimeSpan.FromMinutes(1)) : null;
        return new(run, every, map.Time("timeout", TimeSpan.FromMilliseconds(100), TimeSpan.FromMinutes(10), TimeSpan.FromSeconds(30)));
    }
}
