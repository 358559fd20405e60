namespace KitMesh.Domain.Reports;

/// <summary>Where a report stands in its origin's journal.</summary>
/// <param name="Origin">The writer.</param>
/// <param name="Sequence">Counts from 1 without gaps.</param>
public readonly record struct ReportKey(OriginId Origin, ulong Sequence) : IComparable<ReportKey>
{
    /// <inheritdoc/>
    public int CompareTo(ReportKey other)
    {
        int byOrigin = Origin.CompareTo(other.Origin);
        return byOrigin != 0 ? byOrigin : Sequence.CompareTo(other.Sequence);
    }

    /// <inheritdoc/>
    public override string ToString() => $"{Origin}#{Sequence}";
}
