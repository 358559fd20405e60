using KitMesh.Domain.Quantities;

namespace KitMesh.Domain.Reports;

/// <summary>A copy was read back and hashed equal to what was read off the card: proof, when the level says so.</summary>
/// <param name="Clip">The clip, and so the hash that was found.</param>
/// <param name="Drive">The drive.</param>
/// <param name="Path">Path on the drive.</param>
/// <param name="Size">Bytes read.</param>
/// <param name="Level">How surely the bytes came from the medium.</param>
/// <param name="Recheck">True for a later reading, false for the one that ends an offload.</param>
public sealed record CopyVerified(
    ClipHash Clip,
    KitId Drive,
    string Path,
    ByteCount Size,
    ReadBackLevel Level,
    bool Recheck) : ReportBody
{
    /// <inheritdoc/>
    public override ReportKind Kind => ReportKind.CopyVerified;
}
