using KitMesh.Domain.Reports;

namespace KitMesh.Domain.Planning;

/// <summary>One figure of a plan that was learnt instead of declared.</summary>
/// <param name="Item">The thing.</param>
/// <param name="Figure">Which figure.</param>
/// <param name="Unit">UCUM.</param>
/// <param name="Declared">What the trip file says.</param>
/// <param name="Used">What the plan starts from.</param>
/// <param name="Doubt">Standard deviation of its logarithm.</param>
/// <param name="Because">The evidence in words.</param>
public sealed record LearntUse(KitId Item, LearntFigure Figure, string Unit, double Declared, double Used, double Doubt, string Because);
