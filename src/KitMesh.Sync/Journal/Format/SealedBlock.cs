namespace KitMesh.Sync.Journal.Format;

/// <summary>One compressed stretch of a sealed segment. It holds whole frames.</summary>
/// <param name="RawOffset">Where its bytes stand in the segment.</param>
/// <param name="RawLength">How many bytes it unpacks to.</param>
/// <param name="FileOffset">Where the compressed bytes stand in the file.</param>
/// <param name="PackedLength">How many compressed bytes there are.</param>
internal readonly record struct SealedBlock(long RawOffset, int RawLength, long FileOffset, int PackedLength)
{
    internal long RawEnd => RawOffset + RawLength;
}
