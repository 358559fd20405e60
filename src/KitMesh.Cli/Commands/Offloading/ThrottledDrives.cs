using System.Globalization;
using KitMesh.Cli.Frame;

namespace KitMesh.Cli.Commands.Offloading;

/// <summary>
/// A card and three drives on loop devices whose rates the kernel holds (control group v1, blkio.throttle), past the host's
/// cache. A drive that is only ever written or read at one moment has one budget, as a real drive does.
/// </summary>
internal sealed class ThrottledDrives : IDisposable
{
    /// <summary>Bytes a second that the card gives.</summary>
    public const long CardRead = 500_000_000;

    /// <summary>Bytes a second that a drive takes.</summary>
    public const long DriveWrite = 200_000_000;

    /// <summary>Bytes a second that a drive gives.</summary>
    public const long DriveRead = 250_000_000;

    private const string Groups = "/sys/fs/cgroup/blkio";

    private readonly List<(string Device, string Mount, string Image)> _loops = [];
    private readonly string _group;

    private ThrottledDrives(string group) => _group = group;

    /// <summary>Where the card is mounted.</summary>
    public string Card => _loops[0].Mount;

    /// <summary>Where the drives are mounted.</summary>
    public string[] Drives => [.. _loops.Skip(1).Select(loop => loop.Mount)];

    /// <summary>Makes them.</summary>
    /// <param name="root">Folder for the files behind them.</param>
    /// <param name="bytes">What they must hold.</param>
    /// <param name="id">Names the control group.</param>
    /// <param name="why">Why they cannot be made here.</param>
    public static ThrottledDrives? Make(string root, long bytes, ulong id, out string why)
    {
        why = "";
        if (!Directory.Exists(Groups) || Environment.UserName != "root")
        {
            why = "needs root and control groups v1 with blkio";
            return null;
        }

        var drives = new ThrottledDrives($"{Groups}/kitmesh-bench-{id:x16}");
        try
        {
            for (int i = 0; i < 4; i++)
            {
                drives.AddLoop(root, i, bytes);
            }

            Directory.CreateDirectory(drives._group);
            drives.Limit("read", drives._loops.Select((loop, i) => (loop.Device, i == 0 ? CardRead : DriveRead)));
            drives.Limit("write", drives._loops.Skip(1).Select(loop => (loop.Device, DriveWrite)));
            return drives;
        }
        catch (Exception fault) when (fault is CommandFault or IOException or UnauthorizedAccessException)
        {
            why = fault.Message;
            drives.Dispose();
            return null;
        }
    }

    /// <summary>The arithmetic floor: each drive takes and gives all bytes, one after the other, and all drives work at once.</summary>
    /// <param name="bytes">Bytes of the card.</param>
    public double FloorSeconds(long bytes) => Math.Max((double)bytes / CardRead, ((double)bytes / DriveWrite) + ((double)bytes / DriveRead));

    /// <summary>Removes what is on the drives, unthrottled.</summary>
    public void Empty()
    {
        foreach (string entry in Drives.SelectMany(Directory.GetFileSystemEntries).Where(entry => Path.GetFileName(entry) != "lost+found"))
        {
            if (Directory.Exists(entry))
            {
                Directory.Delete(entry, recursive: true);
            }
            else
            {
                File.Delete(entry);
            }
        }

        BenchTools.Run("sync");
    }

    /// <summary>Holds this process to the rates until disposed.</summary>
    public IDisposable Throttle()
    {
        File.WriteAllText($"{_group}/cgroup.procs", Environment.ProcessId.ToString(CultureInfo.InvariantCulture));
        return new Release();
    }

    /// <inheritdoc/>
    public void Dispose()
    {
        foreach ((string device, string mount, string image) in _loops)
        {
            TryRun("umount", "-l", mount);
            TryRun("losetup", "--detach", device);
            File.Delete(image);
        }

        if (Directory.Exists(_group))
        {
            Directory.Delete(_group);
        }
    }

    private static void TryRun(string program, params string[] words)
    {
        try
        {
            BenchTools.Run(program, words);
        }
        catch (CommandFault)
        {
            // Half made: what is not there need not be taken away.
        }
    }

    private void AddLoop(string root, int number, long bytes)
    {
        string image = Path.Combine(root, string.Create(CultureInfo.InvariantCulture, $"loop{number}.img"));
        using (FileStream file = File.Create(image))
        {
            file.SetLength(((bytes * 5 / 4) + 300_000_000) / 4096 * 4096);
        }

        BenchTools.Run("mkfs.ext4", "-q", "-F", "-E", "lazy_itable_init=0,lazy_journal_init=0", image);
        string device = BenchTools.Run("losetup", "--find", "--show", "--direct-io=on", image);
        string mount = Directory.CreateDirectory(Path.Combine(root, number == 0 ? "card" : $"T{number}")).FullName;
        _loops.Add((device, mount, image));
        BenchTools.Run("mount", device, mount);
    }

    private void Limit(string what, IEnumerable<(string Device, long Rate)> rates)
    {
        foreach ((string device, long rate) in rates)
        {
            string number = File.ReadAllText($"/sys/block/{Path.GetFileName(device)}/dev").Trim();
            File.WriteAllText($"{_group}/blkio.throttle.{what}_bps_device", string.Create(CultureInfo.InvariantCulture, $"{number} {rate}"));
        }
    }

    private sealed class Release : IDisposable
    {
        public void Dispose() => File.WriteAllText($"{Groups}/cgroup.procs", Environment.ProcessId.ToString(CultureInfo.InvariantCulture));
    }
}
