namespace KitMesh.Domain.Reports;

/// <summary>What a signature is worth.</summary>
public enum SealVerdict
{
    /// <summary>No certificate of the node is known yet: it must wait.</summary>
    Unknown,

    /// <summary>It is the node's.</summary>
    Good,

    /// <summary>It is not the node's.</summary>
    Wrong,
}
