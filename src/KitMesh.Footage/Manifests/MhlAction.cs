namespace KitMesh.Footage.Manifests;

/// <summary>What a hash in an ASC MHL manifest stands for.</summary>
public enum MhlAction
{
    /// <summary>The first hash of its format for the file.</summary>
    Original = 0,

    /// <summary>Compared with an earlier hash and equal, or new beside one that was.</summary>
    Verified = 1,

    /// <summary>Compared with an earlier hash and different. Never a basis for a comparison.</summary>
    Failed = 2,
}
