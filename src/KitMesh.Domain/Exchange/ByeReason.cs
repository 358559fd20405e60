namespace KitMesh.Domain.Exchange;

/// <summary>Why a session ends. The numbers are on the wire and are never reused.</summary>
public enum ByeReason
{
    /// <summary>Not told, or not known to this version.</summary>
    Unknown = 0,

    /// <summary>All is said; come back when there is news.</summary>
    Done = 1,

    /// <summary>No protocol version in common.</summary>
    Version = 2,

    /// <summary>The peer holds more of the writer's own origin than the writer, or other reports: a restored disk.</summary>
    NewEpoch = 3,

    /// <summary>The peer broke the protocol.</summary>
    Protocol = 4,

    /// <summary>The peer may not do this.</summary>
    Forbidden = 5,

    /// <summary>The sender stops, sleeps or has a full disk.</summary>
    GoingAway = 6,

    /// <summary>The sender's disk failed.</summary>
    Disk = 7,
}
