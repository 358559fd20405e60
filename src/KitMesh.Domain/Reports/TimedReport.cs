using KitMesh.Domain.Time;
using NodaTime;

namespace KitMesh.Domain.Reports;

/// <summary>A report with the time that the mesh now believes it was written at.</summary>
/// <param name="Report">The report.</param>
/// <param name="Time">The re-timed instant; it can change when a better clock pair arrives.</param>
/// <param name="Trust">The rank of the clock behind <paramref name="Time"/>.</param>
/// <remarks>The order of the fold is (time, origin, sequence); see <see cref="CompareTo"/>.</remarks>
public sealed record TimedReport(Report Report, Instant Time, ClockTrust Trust) : IComparable<TimedReport>
{
    /// <inheritdoc/>
    public int CompareTo(TimedReport? other)
    {
        if (other is null)
        {
            return 1;
        }

        int byTime = Time.CompareTo(other.Time);
        return byTime != 0 ? byTime : Report.Key.CompareTo(other.Report.Key);
    }
}
