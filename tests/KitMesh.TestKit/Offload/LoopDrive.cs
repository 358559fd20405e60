using System.Diagnostics;

namespace KitMesh.TestKit.Offload;

/// <summary>A real file system on a loop device, or in memory, that tests may break. Needs root and the tools; else says why not.</summary>
public sealed class LoopDrive : IDisposable
{
    private LoopDrive(string folder, string image, string? device)
    {
        Folder = folder;
        Image = image;
        Device = device;
    }

    /// <summary>Where it is mounted.</summary>
    public string Folder { get; }

    /// <summary>The file behind it.</summary>
    public string Image { get; }

    /// <summary>Its device; null for a file system in memory.</summary>
    public string? Device { get; private set; }

    /// <summary>Makes one.</summary>
    /// <param name="type">ext4, xfs, btrfs, exfat (FUSE), vfat or tmpfs.</param>
    /// <param name="megabytes">Size.</param>
    /// <param name="why">Why it cannot be made here.</param>
    /// <param name="imageFolder">Folder of the file behind it; null for the temporary folder.</param>
    public static LoopDrive? Make(string type, int megabytes, out string why, string? imageFolder = null)
    {
        why = "";
        if (Environment.UserName != "root")
        {
            why = "needs root for loop devices and mounts";
            return null;
        }

        string folder = Directory.CreateTempSubdirectory("kitmesh-loop-").FullName;
        string image = imageFolder is null ? folder + ".img" : Path.Combine(imageFolder, "image");
        if (type == "tmpfs")
        {
            return Do($"mount -t tmpfs -o size={megabytes}m kitmesh {folder}", out why) ? new LoopDrive(folder, image, null) : Undone(folder);
        }

        using (FileStream file = File.Create(image))
        {
            file.SetLength(megabytes * 1_000_000L / 4096 * 4096);
        }

        string make = type switch
        {
            "ext4" => "mkfs.ext4 -q -F",
            "xfs" => "mkfs.xfs -q -f",
            "btrfs" => "mkfs.btrfs -q -f",
            "exfat" => "mkfs.exfat",
            "vfat" => "mkfs.vfat",
            _ => throw new ArgumentOutOfRangeException(nameof(type)),
        };
        string mount = type == "exfat" ? "mount.exfat-fuse" : $"mount -t {type}";
        if (!Do($"{make} {image}", out why) || !Do($"losetup --find --show --direct-io={(imageFolder is null ? "on" : "off")} {image}", out why, out string device))
        {
            File.Delete(image);
            return Undone(folder);
        }

        if (!Do($"{mount} {device} {folder}", out why))
        {
            Do($"losetup --detach {device}", out _);
            File.Delete(image);
            return Undone(folder);
        }

        return new LoopDrive(folder, image, device);
    }

    /// <summary>Runs a command; its output as text.</summary>
    /// <param name="command">Words separated by blanks.</param>
    /// <param name="why">What it said when it failed.</param>
    public static bool Do(string command, out string why) => Do(command, out why, out _);

    /// <summary>Takes the mount away while files are open, as pulling the plug does to its names.</summary>
    public void Pull() => Do($"umount -l {Folder}", out _);

    /// <summary>Mounts it again.</summary>
    /// <param name="options">Mount options.</param>
    public bool Remount(string options) => Do($"umount {Folder}", out _) && Do($"mount -o {options} {Device} {Folder}", out _);

    /// <summary>Unmounts it, detaches its device and attaches it anew, as unplugging and plugging in does.</summary>
    public bool Replug()
    {
        if (!Do($"umount {Folder}", out _) || !Do($"losetup --detach {Device}", out _) || !Do($"losetup --find --show --direct-io=on {Image}", out _, out string device))
        {
            return false;
        }

        Device = device;
        return Do($"mount {Device} {Folder}", out _);
    }

    public void Dispose()
    {
        Do($"umount -l {Folder}", out _);
        if (Device is not null)
        {
            Do($"losetup --detach {Device}", out _);
        }

        File.Delete(Image);
        Undone(Folder);
    }

    private static bool Do(string command, out string why, out string output)
    {
        why = output = "";
        string[] words = command.Split(' ');
        try
        {
            using Process process = Process.Start(new ProcessStartInfo(words[0], words[1..]) { RedirectStandardOutput = true, RedirectStandardError = true })!;
            Task<string> error = process.StandardError.ReadToEndAsync();
            output = process.StandardOutput.ReadToEnd().Trim();
            process.WaitForExit();
            why = process.ExitCode == 0 ? "" : $"{command}: {error.Result.Trim()}";
            return process.ExitCode == 0;
        }
        catch (System.ComponentModel.Win32Exception)
        {
            why = $"{words[0]} is not installed";
            return false;
        }
    }

    private static LoopDrive? Undone(string folder)
    {
        try
        {
            Directory.Delete(folder);
        }
        catch (IOException)
        {
            // Still busy: the system's clean-up takes it.
        }

        return null;
    }
}
