namespace KitMesh.Sync.Journal;

/// <summary>A hash over all reports of an origin from sequence 1 to some sequence.</summary>
/// <param name="Value">The 32 bytes.</param>
/// <remarks>
/// C(0) is 32 zero bytes; C(n) = SHA-256( C(n-1) || SHA-256(bytes of report n) ). Two nodes that hold the same hash at
/// the same sequence hold the same prefix, which is how a restored or re-imaged disk is found out.
/// </remarks>
public readonly record struct ChainHash(ContentHash Value)
{
    /// <summary>The hash before the first report.</summary>
    public static ChainHash Zero => default;

    /// <summary>The hash one report further.</summary>
    /// <param name="next">The content hash of the next report.</param>
    public ChainHash Then(ContentHash next)
    {
        Span<byte> both = stackalloc byte[2 * ContentHash.Size];
        Value.CopyTo(both);
        next.CopyTo(both[ContentHash.Size..]);
        return new(ContentHash.Of(both));
    }

    /// <summary>The hash one report further.</summary>
    /// <param name="report">The bytes of the next report.</param>
    public ChainHash Then(ReadOnlySpan<byte> report) => Then(ContentHash.Of(report));

    /// <summary>64 hexadecimal digits.</summary>
    public override string ToString() => Value.ToString();
}
