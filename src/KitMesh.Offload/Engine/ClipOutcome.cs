using KitMesh.Domain;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Offload.Hashing;

namespace KitMesh.Offload.Engine;

/// <summary>What became of one file of a card.</summary>
/// <param name="Path">Path on the card, fit to show.</param>
/// <param name="Size">Bytes.</param>
/// <param name="Clip">Its hash; null when it could not be read whole.</param>
/// <param name="Hashes">Further hashes.</param>
/// <param name="Copies">One for each drive.</param>
/// <param name="CardFailure">What is wrong with the file on the card; null when nothing is.</param>
/// <param name="CardDetail">What the system said of it.</param>
/// <param name="Damage">What is wrong with its structure although it was copied well; null when sound or not examined.</param>
public sealed record ClipOutcome(
    string Path,
    ByteCount Size,
    ClipHash? Clip,
    ValueList<HashText> Hashes,
    ValueList<CopyOutcome> Copies,
    CopyFailure? CardFailure,
    string? CardDetail,
    string? Damage)
{
    /// <summary>Copies that are proof.</summary>
    public int Proofs => Copies.Count(copy => copy.IsProof);
}
