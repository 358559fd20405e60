using KitMesh.Domain.Time;

namespace KitMesh.Protocol;

/// <summary>Device clocks and their trust, to and from the wire.</summary>
public static class ClockCodec
{
    /// <summary>To the wire.</summary>
    /// <param name="time">What a device's clocks say.</param>
    public static V1.DeviceTime Write(DeviceTime time) => new()
    {
        WallUnixNanos = Nanoseconds.Of(time.Wall),
        Boot = time.Boot.Value,
        MonotonicNanos = time.MonotonicNanoseconds,
    };

    /// <summary>From the wire.</summary>
    /// <param name="time">The message.</param>
    public static DeviceTime Read(V1.DeviceTime time)
    {
        ArgumentNullException.ThrowIfNull(time);
        return new DeviceTime(Nanoseconds.ToInstant(time.WallUnixNanos), new BootId(time.Boot), time.MonotonicNanos);
    }

    /// <summary>To the wire.</summary>
    /// <param name="trust">The rank.</param>
    public static V1.ClockTrust Write(ClockTrust trust) => (V1.ClockTrust)(int)trust;

    /// <summary>From the wire; a rank of a newer version counts as unknown.</summary>
    /// <param name="trust">The rank.</param>
    public static ClockTrust Read(V1.ClockTrust trust) => Enum.IsDefined((ClockTrust)(int)trust) ? (ClockTrust)(int)trust : ClockTrust.Unknown;
}
