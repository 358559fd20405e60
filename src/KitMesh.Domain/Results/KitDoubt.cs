using KitMesh.Domain.Planning;
using KitMesh.Domain.Reports;

namespace KitMesh.Domain.Results;

/// <summary>How well a declared figure is known, where that was learnt.</summary>
/// <param name="Item">The thing.</param>
/// <param name="Figure">Which figure.</param>
/// <param name="Relative">Standard deviation as a fraction.</param>
public sealed record KitDoubt(KitId Item, LearntFigure Figure, double Relative);
