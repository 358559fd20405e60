using KitMesh.Domain;
using KitMesh.Domain.Reports;

namespace KitMesh.Storage.Queries;

/// <summary>Which sequences of an origin are kept.</summary>
/// <param name="Origin">The origin.</param>
/// <param name="Ranges">The sequences, ascending, neither overlapping nor touching.</param>
public sealed record Watermark(OriginId Origin, ValueList<SequenceRange> Ranges)
{
    /// <summary>The last sequence up to which nothing is missing; 0 when the first is missing.</summary>
    public ulong Contiguous => Ranges.Count > 0 && Ranges[0].First == 1 ? Ranges[0].Last : 0;
}
