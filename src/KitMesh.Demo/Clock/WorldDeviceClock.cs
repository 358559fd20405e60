using KitMesh.Domain.Time;
using NodaTime;

namespace KitMesh.Demo.Clock;

/// <summary>A device's clocks in the demo: they run with world time, and the wall clock may be as wrong as a dead one is.</summary>
/// <param name="file">The shared clock.</param>
/// <param name="boot">Names this life of the device.</param>
/// <param name="trust">How far its wall clock can be believed, as the device itself thinks.</param>
/// <param name="deadSince">
/// When the device woke, for one whose wall clock lost its battery: it then counts from the Unix epoch. Null for a sound clock.
/// </param>
public sealed class WorldDeviceClock(WorldClockFile file, BootId boot, ClockTrust trust, Instant? deadSince) : IDeviceClock
{
    private readonly long _booted = file.Nanoseconds;

    /// <inheritdoc/>
    public ClockTrust Trust => trust;

    /// <inheritdoc/>
    public DeviceTime Read()
    {
        Instant world = file.Now;
        Instant wall = deadSince is { } woke ? NodaConstants.UnixEpoch + (world - woke) : world;
        return new DeviceTime(wall, boot, file.Nanoseconds - _booted);
    }
}
