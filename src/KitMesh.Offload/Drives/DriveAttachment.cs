using System.Globalization;
using KitMesh.Disk.Media;

namespace KitMesh.Offload.Drives;

// The problem: a drive answers from its own cache, and what never left that cache is gone when its power goes. Only a
// reading after the power was cut proves more. The trap: nobody tells a program that power was cut; a file system that was
// mounted again, or a machine that was started again, may have left the drive running. The method: beside each copy stands
// in which stretch of being attached it was written (boot and the kernel's own number of the attachment, which grows each
// time a drive appears), and how often the drive says that it was switched on. The drive's count, where it tells, decides
// alone. Where it does not, being unplugged since is needed, and somebody's word that unplugging cut the power.
// Source: smartctl(8), "power_cycle_count" of its JSON (ATA attribute 12; NVMe health log, "power cycles"); Linux,
// Documentation/ABI/stable/sysfs-block, "diskseq"; random(4), "boot_id".

/// <summary>One stretch of time during which a drive stayed attached.</summary>
/// <param name="Boot">The machine's run.</param>
/// <param name="Number">The kernel's number of the attachment.</param>
/// <param name="PowerCycles">How often the drive was switched on, by its own count; null when it does not tell.</param>
public sealed record DriveAttachment(string Boot, long Number, long? PowerCycles)
{
    private const string BootFile = "/proc/sys/kernel/random/boot_id";

    /// <summary>The attachment of a drive now; null when the system does not tell.</summary>
    /// <param name="mount">How it is mounted.</param>
    /// <param name="powerCycles">What the drive says.</param>
    internal static DriveAttachment? Now(Mount? mount, long? powerCycles)
    {
        if (mount is null)
        {
            return null;
        }

        // A partition has no number of its own; its disk, one level up, has.
        foreach (string file in (string[])[$"/sys/dev/block/{mount.DeviceNumber}/diskseq", $"/sys/dev/block/{mount.DeviceNumber}/../diskseq"])
        {
            try
            {
                return new DriveAttachment(File.ReadAllText(BootFile).Trim(), long.Parse(File.ReadAllText(file).Trim(), CultureInfo.InvariantCulture), powerCycles);
            }
            catch (Exception fault) when (fault is IOException or UnauthorizedAccessException or FormatException)
            {
                // Tried at the next place.
            }
        }

        return null;
    }

    /// <summary>Whether the drive was without power between two attachments.</summary>
    /// <param name="then">When the copy was written; null when that is not known.</param>
    /// <param name="now">When it is read.</param>
    /// <param name="word">What somebody says of unplugging.</param>
    public static bool PowerWasCut(DriveAttachment? then, DriveAttachment? now, PowerWord word)
    {
        if (then is null || now is null)
        {
            return false;
        }

        if (then.PowerCycles is { } before && now.PowerCycles is { } after)
        {
            return after > before;
        }

        bool sameBoot = then.Boot == now.Boot;
        return word switch
        {
            PowerWord.WasUnpowered => !sameBoot || then.Number != now.Number,

            // A machine that starts again may leave its ports powered.
            PowerWord.UnpluggingCutsPower => sameBoot && then.Number != now.Number,
            _ => false,
        };
    }
}
