using KitMesh.Domain.Reports;
using NodaTime;

namespace KitMesh.Devices;

/// <summary>One fact as a reader found it, before the agent's deadbands.</summary>
/// <param name="Body">The fact.</param>
/// <param name="Taken">
/// When it was true by this device's own wall clock, for facts read out of files afterwards; null for now.
/// </param>
public readonly record struct Sample(ReportBody Body, Instant? Taken = null);
