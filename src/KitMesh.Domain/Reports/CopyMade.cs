using KitMesh.Domain.Quantities;

namespace KitMesh.Domain.Reports;

/// <summary>A clip was written to a drive and flushed. Not proof yet: see <see cref="CopyVerified"/>.</summary>
/// <param name="Clip">The clip.</param>
/// <param name="Drive">The drive.</param>
/// <param name="Path">Path on the drive, with '/' between its parts.</param>
/// <param name="Size">Bytes written.</param>
public sealed record CopyMade(ClipHash Clip, KitId Drive, string Path, ByteCount Size) : ReportBody
{
    /// <inheritdoc/>
    public override ReportKind Kind => ReportKind.CopyMade;
}
