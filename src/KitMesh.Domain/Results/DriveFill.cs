using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using NodaTime;

namespace KitMesh.Domain.Results;

/// <summary>When a drive fills if everything is copied as the rule asks.</summary>
/// <param name="Drive">The drive.</param>
/// <param name="Free">Bytes free now.</param>
/// <param name="GigabytesPerDay">What is expected to come to it each day.</param>
/// <param name="Early">The day it is full by with chance 0.1; null when not before the last day.</param>
/// <param name="Likely">The day it is full by with chance 0.5; null when not before the last day.</param>
/// <param name="Late">The day it is full by with chance 0.9; null when not before the last day.</param>
/// <param name="FullByLastDay">The chance that it is full before the last day ends.</param>
public sealed record DriveFill(
    KitId Drive,
    ByteCount Free,
    double GigabytesPerDay,
    LocalDate? Early,
    LocalDate? Likely,
    LocalDate? Late,
    Probability FullByLastDay);
