namespace KitMesh.Disk;

/// <summary>One name in a directory.</summary>
/// <param name="Name">The name, without its directory.</param>
/// <param name="IsDirectory">Whether it is a directory.</param>
/// <param name="Length">Bytes in the file; 0 for a directory.</param>
/// <param name="ModifiedUnixNanoseconds">Last change of the content, in UTC nanoseconds since 1970, as the file system rounds it.</param>
/// <param name="IsLink">Whether it is a symbolic link; links are not followed.</param>
public readonly record struct DiskEntry(string Name, bool IsDirectory, long Length, long ModifiedUnixNanoseconds, bool IsLink = false);
