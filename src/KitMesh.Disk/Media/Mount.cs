namespace KitMesh.Disk.Media;

/// <summary>One mounted file system.</summary>
/// <param name="Root">Where it is mounted.</param>
/// <param name="Type">Its type, such as <c>ext4</c> or <c>fuseblk</c>.</param>
/// <param name="Source">What is mounted: a device, mostly.</param>
/// <param name="DeviceNumber">Major and minor number, with ':' between.</param>
/// <param name="IsReadOnly">Whether it can only be read.</param>
public sealed record Mount(string Root, string Type, string Source, string DeviceNumber, bool IsReadOnly)
{
    /// <summary>The disk that the device is, or is a part of, as the kernel names it; null when it does not say.</summary>
    public string? Disk()
    {
        string folder = $"/sys/dev/block/{DeviceNumber}";
        if (!Directory.Exists(folder))
        {
            return null;
        }

        string real = new DirectoryInfo(folder).ResolveLinkTarget(returnFinalTarget: true)?.FullName ?? folder;
        return Path.GetFileName(File.Exists($"{real}/partition") ? Path.GetDirectoryName(real) : real);
    }

    /// <summary>Whether the device says that it spins, so that jumping between two places costs time; null when it does not say.</summary>
    public bool? Spins()
    {
        foreach (string queue in (string[])[$"/sys/dev/block/{DeviceNumber}/queue/rotational", $"/sys/dev/block/{DeviceNumber}/../queue/rotational"])
        {
            try
            {
                return File.ReadAllText(queue).Trim() == "1";
            }
            catch (Exception e) when (e is IOException or UnauthorizedAccessException)
            {
                // A partition has no queue of its own; its disk, one level up, has.
            }
        }

        return null;
    }
}
