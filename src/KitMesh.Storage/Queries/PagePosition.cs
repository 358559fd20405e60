using KitMesh.Domain.Reports;
using NodaTime;

namespace KitMesh.Storage.Queries;

/// <summary>Where a page ended.</summary>
/// <param name="Time">The time of its last report.</param>
/// <param name="Key">The key of its last report.</param>
public readonly record struct PagePosition(Instant Time, ReportKey Key) : IComparable<PagePosition>
{
    /// <inheritdoc/>
    public int CompareTo(PagePosition other)
    {
        int byTime = Time.CompareTo(other.Time);
        return byTime != 0 ? byTime : Key.CompareTo(other.Key);
    }
}
