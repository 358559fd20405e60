using System.Globalization;
using KitMesh.TestKit.Offload;

namespace KitMesh.Tests.Offload.Faults;

/// <summary>Makes a loop device answer no read, by the kernel's own throttle at one byte a second.</summary>
internal sealed class StandstillOfReads
{
    private const string Limit = "/sys/fs/cgroup/blkio/blkio.throttle.read_bps_device";

    private readonly string _device;

    private StandstillOfReads(string device) => _device = device;

    /// <summary>Ready to begin; skips the test where the machine cannot.</summary>
    public static StandstillOfReads Of(LoopDrive drive)
    {
        if (!File.Exists(Limit) || !File.ReadAllText("/proc/self/cgroup").Split('\n').Any(line => line.EndsWith("blkio:/", StringComparison.Ordinal)))
        {
            Assert.Skip("No control groups v1 for block devices here, or this process is in one of its own.");
        }

        return new StandstillOfReads(File.ReadAllText($"/sys/block/{Path.GetFileName(drive.Device)}/dev").Trim());
    }

    /// <summary>From now on no read is answered.</summary>
    /// <returns>Ends it.</returns>
    public Action Begin()
    {
        Set(1);
        return () => Set(0);
    }

    private void Set(int bytesPerSecond) => File.WriteAllText(Limit, string.Create(CultureInfo.InvariantCulture, $"{_device} {bytesPerSecond}"));
}
