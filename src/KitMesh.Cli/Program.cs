using System.Text;
using KitMesh.Cli.Clocks;
using KitMesh.Cli.Frame;
using NodaTime;

// The composition root: the only place where real clocks, random numbers and streams are made.
using var stop = StopRequest.OnSignals();
using var output = new StreamWriter(Console.OpenStandardOutput(), new UTF8Encoding(false)) { AutoFlush = true };
using var error = new StreamWriter(Console.OpenStandardError(), new UTF8Encoding(false)) { AutoFlush = true };
bool colour = !Console.IsOutputRedirected && string.IsNullOrEmpty(Environment.GetEnvironmentVariable("NO_COLOR"));

var surroundings = new Surroundings(
    TimeProvider.System,
    SystemClock.Instance,
    new SystemDeviceClock(SystemClock.Instance, TimeProvider.System, RandomIds.Draw),
    RandomIds.Draw,
    output,
    error,
    OutputIsTerminal: !Console.IsOutputRedirected,
    ErrorIsTerminal: !Console.IsErrorRedirected,
    colour,
    stop);

return (int)await CommandLine.RunAsync(args, surroundings);
