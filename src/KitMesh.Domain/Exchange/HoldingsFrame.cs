namespace KitMesh.Domain.Exchange;

/// <summary>A part of what the sender holds.</summary>
/// <param name="Holdings">One entry an origin, at most <see cref="MaxHoldings"/>.</param>
/// <param name="Last">True in the last part.</param>
public sealed record HoldingsFrame(ValueList<Holding> Holdings, bool Last) : SessionFrame
{
    /// <summary>The most entries of one frame.</summary>
    public const int MaxHoldings = 256;
}
