using KitMesh.Domain.Reports;

namespace KitMesh.Domain.Exchange;

/// <summary>A run of reports of one origin, the only frame that needs credit.</summary>
/// <param name="Origin">The origin.</param>
/// <param name="FirstSequence">Sequence of the first; the others follow without gaps.</param>
/// <param name="Reports">The bytes as their origin wrote them.</param>
public sealed record ReportsFrame(OriginId Origin, ulong FirstSequence, IReadOnlyList<ReadOnlyMemory<byte>> Reports) : SessionFrame
{
    /// <summary>The most reports of one frame.</summary>
    public const int MaxReports = 4_096;

    /// <summary>The most bytes of one frame, counted as the sum of the reports' lengths.</summary>
    public const int MaxBytes = 1 << 20;

    /// <summary>The most bytes of one report.</summary>
    public const int MaxReportBytes = 1 << 16;

    /// <summary>What each report costs of the receiver's credit beside its length, so that tiny ones cannot fill a memory.</summary>
    public const int CostPerReport = 64;

    /// <summary>What the frame costs of the receiver's credit.</summary>
    public long Cost { get; } = CostOf(Reports);

    private static long CostOf(IReadOnlyList<ReadOnlyMemory<byte>> reports)
    {
        long cost = (long)reports.Count * CostPerReport;
        for (int i = 0; i < reports.Count; i++)
        {
            cost += reports[i].Length;
        }

        return cost;
    }
}
