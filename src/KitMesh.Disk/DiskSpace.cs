namespace KitMesh.Disk;

/// <summary>The room on a file system.</summary>
/// <param name="TotalBytes">All of it.</param>
/// <param name="FreeBytes">What this user may still fill.</param>
/// <param name="Format">The file system's type as the system names it ("ext4", "exfat", "fuseblk"); empty when unknown.</param>
public readonly record struct DiskSpace(long TotalBytes, long FreeBytes, string Format);
