using KitMesh.Domain.Reports;
using KitMesh.Domain.Time;
using NodaTime;

namespace KitMesh.Domain.State;

/// <summary>Where a fact stands in the order of the fold: (time, origin, sequence), and content where a sequence is forked.</summary>
/// <param name="Time">The re-timed instant.</param>
/// <param name="Trust">The rank of the clock behind it.</param>
/// <param name="Key">Origin and sequence.</param>
/// <param name="Content">SHA-256 of the report's bytes.</param>
public readonly record struct FactStamp(Instant Time, ClockTrust Trust, ReportKey Key, Sha256Hash Content) : IComparable<FactStamp>
{
    /// <inheritdoc/>
    public int CompareTo(FactStamp other)
    {
        int byTime = Time.CompareTo(other.Time);
        if (byTime != 0)
        {
            return byTime;
        }

        int byKey = Key.CompareTo(other.Key);
        return byKey != 0 ? byKey : Content.CompareTo(other.Content);
    }
}
