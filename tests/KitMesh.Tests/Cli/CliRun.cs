using KitMesh.Cli.Clocks;
using KitMesh.Cli.Frame;
using NodaTime;
using NodaTime.Testing;

namespace KitMesh.Tests.Cli;

/// <summary>One command line, run inside this process, with what it said.</summary>
internal sealed record CliRun(ExitCode Code, string Output, string Talk)
{
    public static Task<CliRun> OfAsync(params string[] arguments) => AtAsync(Instant.FromUtc(2027, 2, 8, 0, 0), arguments);

    public static async Task<CliRun> AtAsync(Instant now, params string[] arguments)
    {
        using var stop = new StopRequest();
        using var output = new StringWriter();
        using var talk = new StringWriter();
        ExitCode code = await CommandLine.RunAsync(arguments, Quiet(now, output, talk, stop));
        return new CliRun(code, output.ToString(), talk.ToString());
    }

    /// <summary>Surroundings without a terminal, at a world time that stands still.</summary>
    public static Surroundings Quiet(Instant now, TextWriter output, TextWriter talk, StopRequest stop) => new(
        TimeProvider.System,
        new FakeClock(now),
        new SystemDeviceClock(SystemClock.Instance, TimeProvider.System, RandomIds.Draw),
        RandomIds.Draw,
        output,
        talk,
        OutputIsTerminal: false,
        ErrorIsTerminal: false,
        Colour: false,
        stop);
}
