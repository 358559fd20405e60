using KitMesh.Domain.Time;
using NodaTime;

namespace KitMesh.Sync.Session;

/// <summary>The clocks of this node as the host hands them to a session at each step.</summary>
/// <param name="Device">Wall and monotonic clock, as they label reports.</param>
/// <param name="Trust">How far the wall clock can be believed.</param>
/// <param name="Hybrid">The hybrid clock.</param>
/// <param name="Machine">Machine time since some moment: for timeouts only, never accelerated.</param>
public readonly record struct SessionMoment(DeviceTime Device, ClockTrust Trust, HybridTime Hybrid, Duration Machine);
