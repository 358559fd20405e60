using KitMesh.Domain.Reports;

namespace KitMesh.Domain.Time;

/// <summary>A clock pair with who saw it.</summary>
/// <param name="Observer">The node that wrote the report.</param>
/// <param name="Pair">What it saw.</param>
public sealed record ClockObservation(NodeId Observer, ClockPair Pair);
