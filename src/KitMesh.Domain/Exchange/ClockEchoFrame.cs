using KitMesh.Domain.Time;

namespace KitMesh.Domain.Exchange;

/// <summary>The answer to a probe, sent at once.</summary>
/// <param name="Id">From the probe.</param>
/// <param name="Clock">The clocks of the one who answers.</param>
/// <param name="Trust">How far its wall clock can be believed.</param>
public sealed record ClockEchoFrame(ulong Id, DeviceTime Clock, ClockTrust Trust) : SessionFrame;
