using KitMesh.Domain.Reports;

namespace KitMesh.Domain.Exchange;

/// <summary>Asks the peer to compare what both hold of one origin.</summary>
/// <param name="Origin">The origin.</param>
/// <param name="Ranges">At most <see cref="MaxRanges"/> ranges with the sender's hash of each.</param>
public sealed record CompareFrame(OriginId Origin, ValueList<RangeHash> Ranges) : SessionFrame
{
    /// <summary>The most ranges of one frame.</summary>
    public const int MaxRanges = 64;
}
