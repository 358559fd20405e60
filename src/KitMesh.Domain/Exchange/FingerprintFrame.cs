using KitMesh.Domain.Reports;

namespace KitMesh.Domain.Exchange;

/// <summary>Fingerprints of a node that has nothing more to send.</summary>
/// <param name="Holdings">SHA-256 over the sorted (origin, ranges, chain hash).</param>
/// <param name="State">State fingerprint; null when the sender folds no state.</param>
/// <param name="FoldVersion">Version of the fold behind it.</param>
public sealed record FingerprintFrame(Sha256Hash Holdings, Sha256Hash? State, uint FoldVersion) : SessionFrame;
