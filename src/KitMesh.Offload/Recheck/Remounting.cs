using KitMesh.Disk.Media;

namespace KitMesh.Offload.Recheck;

/// <summary>Unmounts a drive and mounts it again, so that a reading after it cannot come from memory.</summary>
internal static class Remounting
{
    // Others carry options (owner, character set) that would be lost.
    private static readonly string[] Types = ["ext2", "ext3", "ext4", "xfs", "btrfs", "f2fs"];

    /// <summary>Does it.</summary>
    /// <param name="root">Where the drive is mounted.</param>
    /// <returns>Why it was not done; null when it was.</returns>
    public static string? WhyNot(string root)
    {
        if (MountTable.Of(root) is not { } mount || mount.Root != root || root == "/")
        {
            return $"{root} is no mount of its own, so it cannot be mounted again; recheck it without";
        }

        if (!Types.Contains(mount.Type))
        {
            return $"{root} is {mount.Type}: its mount's options would be lost; unmount and mount it by hand and recheck it without";
        }

        try
        {
            Mounting.Unmount(root);
            Mounting.Mount(mount.Source, root, mount.Type, mount.IsReadOnly);
            return null;
        }
        catch (MediaFault fault)
        {
            return $"{root} could not be mounted again: {fault.Message}";
        }
    }
}
