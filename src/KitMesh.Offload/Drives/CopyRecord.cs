using KitMesh.Domain;
using KitMesh.Domain.Reports;
using KitMesh.Footage.Clips;
using KitMesh.Offload.Hashing;
using NodaTime;

namespace KitMesh.Offload.Drives;

/// <summary>What a drive's own list says of one copy on it: it was read back and found equal to the card.</summary>
/// <param name="Path">Path on the drive.</param>
/// <param name="Size">Bytes.</param>
/// <param name="Clip">XXH3-128.</param>
/// <param name="Card">The card it came from.</param>
/// <param name="CardPath">Its path there.</param>
/// <param name="Modified">Last write of the file on the card.</param>
/// <param name="Print">Print over three samples of the file; see <see cref="SampledPrint"/>.</param>
/// <param name="Level">How surely the read-back came from the medium.</param>
/// <param name="Verified">When, by this machine's clock.</param>
/// <param name="Hashes">Further hashes taken in the same read.</param>
public sealed record CopyRecord(
    string Path,
    long Size,
    ClipHash Clip,
    string Card,
    string CardPath,
    Instant Modified,
    ClipHash Print,
    ReadBackLevel Level,
    Instant Verified,
    ValueList<HashText> Hashes)
{
    /// <summary>In which stretch of being attached the drive took it; null when not known. A recheck leaves it as it is.</summary>
    public DriveAttachment? WrittenIn { get; init; }

    /// <summary>When the recording ran, where it tells.</summary>
    public ClipTimes? Times { get; init; }
}
