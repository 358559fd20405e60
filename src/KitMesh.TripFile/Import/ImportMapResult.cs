using KitMesh.Domain;

namespace KitMesh.TripFile.Import;

/// <summary>What came of reading a mapping file.</summary>
/// <param name="Map">The map; null when something is wrong.</param>
/// <param name="Problems">Every mistake, by line.</param>
public sealed record ImportMapResult(ImportMap? Map, ValueList<TripProblem> Problems);
