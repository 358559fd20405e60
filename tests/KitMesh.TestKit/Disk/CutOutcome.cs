namespace KitMesh.TestKit.Disk;

/// <summary>How much of what was not synced a power cut leaves on the medium.</summary>
public enum CutOutcome
{
    /// <summary>Nothing.</summary>
    Nothing,

    /// <summary>Everything: as if the cut had come a moment later.</summary>
    Everything,

    /// <summary>Any pages of 4 KiB and any names, by the generator.</summary>
    Anything,
}
