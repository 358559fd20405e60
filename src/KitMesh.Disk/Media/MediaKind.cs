namespace KitMesh.Disk.Media;

/// <summary>What an entry of a file system is.</summary>
public enum MediaKind
{
    /// <summary>A pipe, socket, device or something unknown.</summary>
    Other = 0,

    /// <summary>A regular file.</summary>
    File = 1,

    /// <summary>A folder.</summary>
    Folder = 2,

    /// <summary>A symbolic link.</summary>
    Link = 3,
}
