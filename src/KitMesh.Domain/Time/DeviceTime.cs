using NodaTime;

namespace KitMesh.Domain.Time;

/// <summary>What a device's own clocks say at one moment. The wall time may be years off; the monotonic time is not.</summary>
/// <param name="Wall">The device's wall clock.</param>
/// <param name="Boot">The boot that <paramref name="MonotonicNanoseconds"/> counts in.</param>
/// <param name="MonotonicNanoseconds">Nanoseconds since some moment of that boot; never steps back inside it.</param>
public readonly record struct DeviceTime(Instant Wall, BootId Boot, long MonotonicNanoseconds);
