namespace KitMesh.Domain.Kit;

/// <summary>What a drive stores on.</summary>
public enum DriveMedium
{
    /// <summary>Not told.</summary>
    Unknown = 0,

    /// <summary>Flash.</summary>
    Flash = 1,

    /// <summary>Spinning disks.</summary>
    Spinning = 2,
}
