using System.Globalization;
using System.Runtime.InteropServices;
using KitMesh.Domain.Time;
using NodaTime;

namespace KitMesh.Cli.Clocks;

/// <summary>
/// The real clocks of this device. The monotonic one counts from the device's boot and runs on while it sleeps
/// (CLOCK_BOOTTIME): a station that naps between cards must not lose those hours, since re-timing adds the monotonic time
/// to one offset for the whole boot.
/// </summary>
internal sealed class SystemDeviceClock : IDeviceClock
{
    private const string BootIdFile = "/proc/sys/kernel/random/boot_id";
    private const int ClockBootTime = 7;

    private readonly IClock _wall;
    private readonly TimeProvider _machine;
    private readonly BootId _boot;
    private readonly bool _hasBootTime;

    public SystemDeviceClock(IClock wall, TimeProvider machine, Func<ulong> ids, ClockTrust trust = ClockTrust.HardwareClock)
    {
        _wall = wall;
        _machine = machine;
        Trust = trust;
        (_boot, _hasBootTime) = ReadBoot(ids);
    }

    /// <inheritdoc/>
    public ClockTrust Trust { get; }

    /// <inheritdoc/>
    public DeviceTime Read()
    {
        Instant wall = _wall.GetCurrentInstant();
        return new DeviceTime(wall, _boot, MonotonicNanoseconds());
    }

    private static (BootId Boot, bool HasBootTime) ReadBoot(Func<ulong> ids)
    {
        // Without the kernel's boot id, a number drawn now names this process's life: then the monotonic time only
        // needs to hold inside it.
        if (OperatingSystem.IsLinux()
            && File.Exists(BootIdFile)
            && File.ReadAllText(BootIdFile).Replace("-", "", StringComparison.Ordinal).Trim() is { Length: 32 } text
            && ulong.TryParse(text.AsSpan(0, 16), NumberStyles.AllowHexSpecifier, CultureInfo.InvariantCulture, out ulong id)
            && clock_gettime(ClockBootTime, out _) == 0)
        {
            return (new BootId(id), true);
        }

        return (new BootId(ids()), false);
    }

    private long MonotonicNanoseconds()
    {
        if (_hasBootTime && clock_gettime(ClockBootTime, out TimeSpec now) == 0)
        {
            return (now.Seconds * 1_000_000_000L) + now.Nanoseconds;
        }

        return (long)(_machine.GetTimestamp() * (1e9 / _machine.TimestampFrequency));
    }

    [DllImport("libc", SetLastError = true)]
    private static extern int clock_gettime(int clock, out TimeSpec time);

    [StructLayout(LayoutKind.Sequential)]
    private struct TimeSpec
    {
        public long Seconds;
        public long Nanoseconds;
    }
}
