namespace KitMesh.Sync.Session;

/// <summary>The protocol versions that this software speaks.</summary>
public static class ProtocolVersions
{
    /// <summary>The lowest.</summary>
    public const uint Lowest = 1;

    /// <summary>The highest.</summary>
    public const uint Highest = 1;
}
