using KitMesh.Domain.Exchange;
using KitMesh.Domain.Reports;

namespace KitMesh.Sync.Journal;

/// <summary>The bounds of one append.</summary>
internal static class JournalBounds
{
    /// <summary>Why a batch is not taken, or null when it is.</summary>
    internal static string? Refusal(JournalIndex index, IReadOnlyList<RawReport> reports)
    {
        if (reports.Count > JournalOptions.MaxBatchReports)
        {
            return $"A batch of {reports.Count} reports is past the bound of {JournalOptions.MaxBatchReports}.";
        }

        long bytes = 0;
        for (int i = 0; i < reports.Count; i++)
        {
            RawReport report = reports[i];
            bytes += report.Bytes.Length;
            if (report.Bytes.Length > JournalOptions.MaxReportBytes)
            {
                return $"Report {report.Key} has {report.Bytes.Length} bytes, past the bound of {JournalOptions.MaxReportBytes}.";
            }

            if (!SequenceRange.IsValid(report.Key.Sequence, report.Key.Sequence) || report.Key.Origin.Node == default)
            {
                return $"Report {report.Key} has no sound key.";
            }
        }

        return bytes > JournalOptions.MaxBatchBytes
            ? $"A batch of {bytes} bytes is past the bound of {JournalOptions.MaxBatchBytes}."
            : FullIndex(index, reports);
    }

    /// <summary>What is known costs memory and a place in every segment's beginning, so it is bounded; what only lengthens a range is always taken.</summary>
    private static string? FullIndex(JournalIndex index, IReadOnlyList<RawReport> reports)
    {
        bool isFull = index.OriginCount >= Journal.MaxOrigins || index.RangeCount >= Journal.MaxRanges;
        bool widens = isFull && reports.Any(report => index.Find(report.Key.Origin) is not { } known || !known.Known.Contains(report.Key.Sequence - 1));
        return widens ? $"The journal knows {index.OriginCount} origins with {index.RangeCount} ranges and takes no new ones." : null;
    }
}
