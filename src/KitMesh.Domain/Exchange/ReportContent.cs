using KitMesh.Domain.Reports;

namespace KitMesh.Domain.Exchange;

/// <summary>One report of a known origin, named by its content.</summary>
/// <param name="Sequence">Its sequence.</param>
/// <param name="Hash">SHA-256 of its bytes.</param>
public readonly record struct ReportContent(ulong Sequence, Sha256Hash Hash) : IComparable<ReportContent>
{
    /// <inheritdoc/>
    public int CompareTo(ReportContent other)
    {
        int bySequence = Sequence.CompareTo(other.Sequence);
        return bySequence != 0 ? bySequence : Hash.CompareTo(other.Hash);
    }
}
