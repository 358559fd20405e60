using KitMesh.Domain.Time;
using NodaTime;

namespace KitMesh.Devices.BackupStation;

/// <summary>The wall half of a device's clocks.</summary>
/// <param name="clock">The device's clocks.</param>
internal sealed class DeviceWallClock(IDeviceClock clock) : IClock
{
    /// <inheritdoc/>
    public Instant GetCurrentInstant() => clock.Read().Wall;
}
