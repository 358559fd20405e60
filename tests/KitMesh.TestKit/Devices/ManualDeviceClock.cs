using KitMesh.Domain.Time;
using NodaTime;

namespace KitMesh.TestKit.Devices;

/// <summary>A device's clocks that move only when a test moves them.</summary>
public sealed class ManualDeviceClock(Instant wall) : IDeviceClock
{
    private readonly Lock _gate = new();
    private DeviceTime _now = new(wall, new BootId(0xB007), 1_000_000_000);

    /// <inheritdoc/>
    public ClockTrust Trust { get; set; } = ClockTrust.HardwareClock;

    /// <inheritdoc/>
    public DeviceTime Read()
    {
        lock (_gate)
        {
            return _now;
        }
    }

    /// <summary>Time passes on both clocks.</summary>
    public void Advance(Duration by)
    {
        lock (_gate)
        {
            _now = _now with { Wall = _now.Wall + by, MonotonicNanoseconds = _now.MonotonicNanoseconds + (long)by.TotalNanoseconds };
        }
    }

    /// <summary>Somebody sets the wall clock.</summary>
    public void Set(Instant wall)
    {
        lock (_gate)
        {
            _now = _now with { Wall = wall };
        }
    }
}
