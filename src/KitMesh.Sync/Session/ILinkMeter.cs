namespace KitMesh.Sync.Session;

/// <summary>Counts what a link with a budget has carried today. Safe to call from many threads.</summary>
public interface ILinkMeter
{
    /// <summary>Whether ordinary readings may still go today: the last part of a budget is kept for what somebody must know of.</summary>
    bool HasRoomForReadings { get; }

    /// <summary>Whether anything may still go today.</summary>
    bool HasRoom { get; }
}
