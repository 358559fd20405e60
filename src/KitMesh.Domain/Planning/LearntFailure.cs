using KitMesh.Domain.Reports;

namespace KitMesh.Domain.Planning;

/// <summary>How often something failed on earlier trips.</summary>
/// <param name="Item">The thing.</param>
/// <param name="PerDay">Failures a day.</param>
/// <param name="Evidence">Days behind it.</param>
public sealed record LearntFailure(KitId Item, double PerDay, int Evidence);
