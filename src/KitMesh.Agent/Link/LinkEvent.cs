using KitMesh.Domain.Exchange;
using KitMesh.Sync.Journal;

namespace KitMesh.Agent.Link;

/// <summary>What can happen to a session; one loop takes them one by one.</summary>
internal abstract record LinkEvent
{
    private LinkEvent()
    {
    }

    /// <summary>A frame came.</summary>
    public sealed record Came(SessionFrame Frame) : LinkEvent;

    /// <summary>The stream ended or broke.</summary>
    public sealed record Ended(string Words) : LinkEvent;

    /// <summary>An append of foreign reports ended.</summary>
    public sealed record Appended(long Ticket, AppendResult Result) : LinkEvent;

    /// <summary>The journal grew.</summary>
    public sealed record Grew : LinkEvent
    {
        public static readonly Grew One = new();
    }

    /// <summary>A second passed.</summary>
    public sealed record Tick : LinkEvent
    {
        public static readonly Tick One = new();
    }
}
