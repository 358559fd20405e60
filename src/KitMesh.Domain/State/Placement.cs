using KitMesh.Domain.Reports;
using NodaTime;

namespace KitMesh.Domain.State;

/// <summary>One entry of where a thing was.</summary>
/// <param name="Since">Since when.</param>
/// <param name="Into">What holds it; null when it stands alone.</param>
/// <param name="Author">Who said so.</param>
/// <param name="Stamp">The report.</param>
public sealed record Placement(Instant Since, KitId? Into, string Author, FactStamp Stamp) : IComparable<Placement>
{
    /// <inheritdoc/>
    public int CompareTo(Placement? other)
    {
        if (other is null)
        {
            return 1;
        }

        int bySince = Since.CompareTo(other.Since);
        return bySince != 0 ? bySince : Stamp.CompareTo(other.Stamp);
    }
}
