namespace KitMesh.Sync.Merge;

/// <summary>What became of one report in a merge.</summary>
public enum MergeOutcome
{
    /// <summary>It was not there.</summary>
    New,

    /// <summary>It was there, byte for byte.</summary>
    Duplicate,

    /// <summary>Its key was there with other content; both stay.</summary>
    Fork,
}
