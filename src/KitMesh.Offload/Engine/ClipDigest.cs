using KitMesh.Domain;
using KitMesh.Domain.Reports;
using KitMesh.Offload.Hashing;

namespace KitMesh.Offload.Engine;

/// <summary>What one read of a file gave.</summary>
/// <param name="Clip">XXH3-128 of all its bytes.</param>
/// <param name="Print">Print over three samples.</param>
/// <param name="Others">Further hashes.</param>
internal sealed record ClipDigest(ClipHash Clip, ClipHash Print, ValueList<HashText> Others);
