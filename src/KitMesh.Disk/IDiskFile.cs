namespace KitMesh.Disk;

/// <summary>One open file. Not for several threads at once, except reads beside one writer.</summary>
public interface IDiskFile : IDisposable
{
    /// <summary>Where it was opened.</summary>
    string Path { get; }

    /// <summary>Offsets, lengths and buffers must be multiples of this: 1 unless opened direct.</summary>
    int Alignment { get; }

    /// <summary>Bytes in the file.</summary>
    DiskResult<long> Length();

    /// <summary>Reads until the buffer is full or the file ends; the value is the count of bytes read.</summary>
    /// <param name="offset">Where to start.</param>
    /// <param name="into">The buffer.</param>
    DiskResult<int> Read(long offset, Span<byte> into);

    /// <summary>Writes all bytes or says what failed; after a failure any part of them may be there.</summary>
    /// <param name="offset">Where to start; the file grows as needed.</param>
    /// <param name="bytes">The bytes.</param>
    DiskResult Write(long offset, ReadOnlySpan<byte> bytes);

    /// <summary>Reserves room without changing the length. A file system that cannot answers <see cref="DiskFaultKind.NotSupported"/>.</summary>
    /// <param name="bytes">Room for the file from its start.</param>
    DiskResult Reserve(long bytes);

    /// <summary>Cuts or extends (with zeros) the file.</summary>
    /// <param name="bytes">The new length.</param>
    DiskResult SetLength(long bytes);

    /// <summary>
    /// Makes all bytes written so far survive a power cut. After a fault they may or may not be on the medium although
    /// a read shows them: close the file and write them anew to another one; a second sync proves nothing.
    /// </summary>
    DiskResult Sync();

    /// <summary>Asks the system to forget its cached pages of this file, so that a read comes from the medium. Advice: sync first.</summary>
    DiskResult DropCache();
}
