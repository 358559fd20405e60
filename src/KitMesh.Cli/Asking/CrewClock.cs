using Google.Protobuf.WellKnownTypes;
using KitMesh.Domain.Time;
using NodaTime;
using NodaTime.Text;

namespace KitMesh.Cli.Asking;

/// <summary>Shows moments by the crew's own clocks, as the hub's answer names their zone.</summary>
internal sealed class CrewClock
{
    private readonly Offset _zone;
    private readonly string _words;

    /// <summary>The clock of a zone.</summary>
    /// <param name="zone">An offset such as +06:00; anything else is UTC.</param>
    public CrewClock(string zone)
    {
        ParseResult<Offset> read = OffsetPattern.CreateWithInvariantCulture("+HH:mm").Parse(zone);
        _zone = read.Success ? read.Value : Offset.Zero;
        _words = zone.Length == 0 ? "UTC; no trip is declared" : $"crew time, {CrewTime.ShowZone(_zone)}";
    }

    /// <summary>A moment to the minute; empty for none.</summary>
    public string Show(Timestamp? time) => time is null ? "" : CrewTime.Show(Read(time), _zone);

    /// <summary>A moment with its zone, for a heading: below it times stand bare.</summary>
    public string Heading(Timestamp time) => $"{Show(time)} ({_words})";

    private static Instant Read(Timestamp time) => Instant.FromUnixTimeSeconds(time.Seconds) + NodaTime.Duration.FromNanoseconds(time.Nanos);
}
