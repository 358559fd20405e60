namespace KitMesh.Storage.RollUps;

/// <summary>Where a moment falls: in which block, and in which slot of it.</summary>
/// <param name="Block">The block's number since 1970.</param>
/// <param name="Slot">The slot inside it.</param>
internal readonly record struct BucketPlace(long Block, int Slot)
{
    private static readonly long[] Nanoseconds = [.. Enum.GetValues<RollUpSpan>().Select(span => span.Length().ToInt64Nanoseconds())];

    /// <summary>Length of a bucket in nanoseconds.</summary>
    public static long LengthOf(RollUpSpan span) => Nanoseconds[(int)span];

    /// <summary>The number of the bucket, counted from 1970, that holds a moment.</summary>
    public static long NumberOf(RollUpSpan span, long time) => FloorDivide(time, LengthOf(span));

    /// <summary>The place of a bucket.</summary>
    public static BucketPlace Of(RollUpSpan span, long number)
    {
        int slots = BucketBlock.SlotsOf(span);
        long block = FloorDivide(number, slots);
        return new BucketPlace(block, (int)(number - (block * slots)));
    }

    private static long FloorDivide(long value, long by)
    {
        long quotient = value / by;
        return value % by < 0 ? quotient - 1 : quotient;
    }
}
