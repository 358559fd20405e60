using KitMesh.Domain;
using KitMesh.Domain.Reports;

namespace KitMesh.Sync.Seals;

/// <summary>A seal that is to be written into the origin for which it was made.</summary>
/// <param name="Origin">The origin.</param>
/// <param name="Seal">The seal.</param>
public sealed record DueSeal(OriginId Origin, OriginSealed Seal)
{
    /// <summary>
    /// The report for a key: the seal, or in another epoch, which can be opened between making and writing, one that says
    /// nothing, for there the signature would look forged.
    /// </summary>
    /// <param name="key">The key that the journal gave.</param>
    public OriginSealed At(ReportKey key) => key.Origin == Origin ? Seal : new OriginSealed(0, default, ValueList<byte>.Empty);
}
