using System.IO.Hashing;

namespace KitMesh.Devices.Following;

/// <summary>A place in a file that may be exchanged: an offset, and the hash of the file's beginning that tells which file it is.</summary>
/// <param name="Offset">Bytes before the next line.</param>
/// <param name="BeginningLength">How many bytes of the beginning were hashed.</param>
/// <param name="BeginningHash">Their XXH3-64.</param>
internal readonly record struct FilePlace(long Offset, int BeginningLength, ulong BeginningHash)
{
    /// <summary>The beginning of any file.</summary>
    public static FilePlace Start { get; } = new(0, 0, XxHash3.HashToUInt64([]));
}
