namespace KitMesh.Footage.Ledger;

/// <summary>What a report says about a copy.</summary>
internal enum CopyEventKind : byte
{
    /// <summary>It was written.</summary>
    Made = 0,

    /// <summary>It was read back equal.</summary>
    Verified = 1,

    /// <summary>It could not be made or is no longer good.</summary>
    Failed = 2,
}
