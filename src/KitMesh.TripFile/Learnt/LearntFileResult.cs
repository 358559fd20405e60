using KitMesh.Domain;
using KitMesh.Domain.Planning;

namespace KitMesh.TripFile.Learnt;

/// <summary>What came of reading a file of learnt kit: the kit, or what is wrong.</summary>
/// <param name="Learnt">The kit; null when something is wrong.</param>
/// <param name="Problems">Every mistake, by line.</param>
public sealed record LearntFileResult(LearntKit? Learnt, ValueList<TripProblem> Problems);
