using KitMesh.Domain.Reports;
using NodaTime;

namespace KitMesh.Storage.Queries;

/// <summary>Where a page ended. Reports of a fork share their key and may share their time, so the content decides last.</summary>
/// <param name="Time">The time of its last report.</param>
/// <param name="Key">The key of its last report.</param>
/// <param name="Content">The first half of the SHA-256 value of its last report's bytes.</param>
public readonly record struct PagePosition(Instant Time, ReportKey Key, UInt128 Content) : IComparable<PagePosition>
{
    /// <summary>Where a page ends whose last report is this one.</summary>
    /// <param name="report">The page's last report.</param>
    public static PagePosition Of(KeptReport report) => new(report.Time, report.Raw.Key, Sha256Hash.Of(report.Raw.Bytes.Span).High);

    /// <inheritdoc/>
    public int CompareTo(PagePosition other)
    {
        int byTime = Time.CompareTo(other.Time);
        int byKey = byTime != 0 ? byTime : Key.CompareTo(other.Key);
        return byKey != 0 ? byKey : Content.CompareTo(other.Content);
    }
}
