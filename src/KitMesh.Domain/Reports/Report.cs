using KitMesh.Domain.Time;

namespace KitMesh.Domain.Reports;

/// <summary>One immutable fact written by one origin.</summary>
/// <param name="Key">Origin and sequence: the order of facts.</param>
/// <param name="Hybrid">Hybrid logical time: orders facts across nodes whose clocks are sound.</param>
/// <param name="Written">What the device's clocks said: a label, re-timed later.</param>
/// <param name="Body">The fact.</param>
public sealed record Report(ReportKey Key, HybridTime Hybrid, DeviceTime Written, ReportBody Body);
