namespace KitMesh.Footage.Clips;

/// <summary>The bytes of a file, read where they are needed.</summary>
public interface IClipBytes
{
    /// <summary>Bytes of the file.</summary>
    long Length { get; }

    /// <summary>Reads from a place on until the buffer is full or the file ends.</summary>
    /// <param name="offset">The place.</param>
    /// <param name="into">The buffer.</param>
    /// <returns>Bytes read.</returns>
    int Read(long offset, Span<byte> into);
}
