using KitMesh.Domain.Reports;

namespace KitMesh.Domain.Exchange;

/// <summary>The hash over everything held in a range of one origin.</summary>
/// <param name="Range">The range.</param>
/// <param name="Hash">SHA-256 over (sequence, content hash) of every report held in it, sorted.</param>
public readonly record struct RangeHash(SequenceRange Range, Sha256Hash Hash);
