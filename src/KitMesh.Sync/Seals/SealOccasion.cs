namespace KitMesh.Sync.Seals;

/// <summary>When a seal may be worth writing.</summary>
public enum SealOccasion
{
    /// <summary>A session is about to begin.</summary>
    SessionBegins,

    /// <summary>A session has nothing more to say.</summary>
    NothingMoreToSay,

    /// <summary>Time passes.</summary>
    TimePasses,
}
