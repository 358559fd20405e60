using KitMesh.Domain.Reports;

namespace KitMesh.Storage.Queries;

/// <summary>Neighbouring reports of one origin.</summary>
/// <param name="Origin">The origin.</param>
/// <param name="First">The first sequence.</param>
/// <param name="Last">The last sequence, included.</param>
public readonly record struct SequenceSpan(OriginId Origin, ulong First, ulong Last);
