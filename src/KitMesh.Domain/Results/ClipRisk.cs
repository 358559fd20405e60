using KitMesh.Domain.Reports;
using NodaTime;

namespace KitMesh.Domain.Results;

/// <summary>Clips that share the same copies, and so the same fate.</summary>
/// <param name="Drives">The drives that hold their proven copies; empty when there is no proven copy.</param>
/// <param name="OnCard">Whether the card still holds them too.</param>
/// <param name="Clips">How many clips.</param>
/// <param name="Hours">Their running time in hours, as far as the files tell.</param>
/// <param name="FirstDay">The first day among them.</param>
/// <param name="LastDay">The last day among them.</param>
/// <param name="Example">One of them.</param>
/// <param name="EachLost">The chance that any given one of them is lost.</param>
public sealed record ClipRisk(
    ValueList<KitId> Drives,
    bool OnCard,
    int Clips,
    double Hours,
    LocalDate FirstDay,
    LocalDate LastDay,
    ClipHash Example,
    ChanceRange EachLost);
