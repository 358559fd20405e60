using KitMesh.Domain.Exchange;
using KitMesh.Sync.Journal;

namespace KitMesh.Hub.Grpc;

/// <summary>What wakes a session's loop. The set is closed.</summary>
internal abstract record SessionEvent
{
    private SessionEvent()
    {
    }

    /// <summary>A frame came; its place in the queue is given back once it is handled.</summary>
    public sealed record Came(SessionFrame Frame) : SessionEvent;

    /// <summary>The peer will say nothing more; <see langword="true"/> when the link broke.</summary>
    public sealed record Ended(bool Broken) : SessionEvent;

    /// <summary>An append came back.</summary>
    public sealed record Appended(long Ticket, AppendResult Result) : SessionEvent;

    /// <summary>This hub is stopping: say so and part.</summary>
    public sealed record Stopping : SessionEvent
    {
        public static readonly Stopping Instance = new();
    }

    /// <summary>The journal grew, or a second passed.</summary>
    public sealed record Woke : SessionEvent
    {
        public static readonly Woke Instance = new();
    }
}
