using KitMesh.Domain.Reports;

namespace KitMesh.Domain.Results;

/// <summary>Something the outlook had to assume because it was not told, not measured or not believable.</summary>
/// <param name="Subject">The thing it is about.</param>
/// <param name="Assumed">What was taken instead.</param>
/// <param name="Because">Why, and what would mend it.</param>
/// <param name="Widens">True when the spread was widened for it.</param>
public sealed record EnergyAssumption(KitId Subject, string Assumed, string Because, bool Widens);
