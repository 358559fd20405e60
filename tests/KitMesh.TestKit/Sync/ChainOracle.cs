using KitMesh.Domain.Reports;

namespace KitMesh.TestKit.Sync;

/// <summary>A step of the chain from every content of a sequence, forked or not.</summary>
public static class ChainOracle
{
    /// <param name="previous">The value before it.</param>
    /// <param name="sequence">The sequence.</param>
    /// <param name="contents">The bytes of each report under it, in any order; the same bytes count once.</param>
    public static Sha256Hash Next(Sha256Hash previous, ulong sequence, IEnumerable<RawReport> contents)
    {
        var distinct = contents.DistinctBy(report => Sha256Hash.Of(report.Bytes.Span)).ToList();
        return distinct.Count == 1
            ? ReportChain.Next(previous, sequence, distinct[0].Bytes.Span)
            : ReportChain.NextFork(previous, sequence, [.. distinct.Select(report => Sha256Hash.Of(report.Bytes.Span)).Order()]);
    }
}
