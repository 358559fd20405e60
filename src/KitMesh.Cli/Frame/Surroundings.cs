using KitMesh.Domain.Time;
using NodaTime;

namespace KitMesh.Cli.Frame;

/// <summary>Everything real that a verb may touch: made once in Program.cs, replaced in tests.</summary>
/// <param name="Machine">Machine time: deadlines, timeouts, measurements.</param>
/// <param name="World">World time: when readings happen and what the outlook counts from; the demo accelerates it.</param>
/// <param name="Device">This device's wall and monotonic clocks, for stamping reports.</param>
/// <param name="Ids">Fresh random 64-bit numbers: journal epochs, seeds that nobody fixed.</param>
/// <param name="OutputStream">Stdout.</param>
/// <param name="ErrorStream">Stderr.</param>
/// <param name="OutputIsTerminal">True when a person looks at stdout.</param>
/// <param name="ErrorIsTerminal">True when a person looks at stderr.</param>
/// <param name="Colour">True when colour is wanted: a terminal, and NO_COLOR not set.</param>
/// <param name="Stop">Ctrl+C and SIGTERM.</param>
internal sealed record Surroundings(
    TimeProvider Machine,
    IClock World,
    IDeviceClock Device,
    Func<ulong> Ids,
    TextWriter OutputStream,
    TextWriter ErrorStream,
    bool OutputIsTerminal,
    bool ErrorIsTerminal,
    bool Colour,
    StopRequest Stop);
