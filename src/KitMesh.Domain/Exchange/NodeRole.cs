namespace KitMesh.Domain.Exchange;

/// <summary>What a node is in a session.</summary>
public enum NodeRole
{
    /// <summary>Writes its own reports and wants nobody else's.</summary>
    Agent = 1,

    /// <summary>Merges, and wants everything.</summary>
    Hub = 2,
}
