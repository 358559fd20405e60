using KitMesh.Disk;
using KitMesh.Disk.Media;
using KitMesh.Domain.Reports;

namespace KitMesh.Offload.Handover;

/// <summary>Reads a stranger's files from the medium without writing anything there: no lock, no identity, no list.</summary>
internal sealed class MediumReader : IDisposable
{
    private const int PieceSize = 4 << 20;

    private readonly AlignedBuffer _buffer = new(PieceSize);

    /// <summary>Feeds a file's bytes to somebody, and says how surely they came from the medium.</summary>
    /// <param name="path">The file.</param>
    /// <param name="take">Takes each piece.</param>
    /// <param name="stop">Gives up between two pieces.</param>
    /// <returns>Bytes read, and the level.</returns>
    /// <exception cref="MediaFault">The drive refused.</exception>
    public (long Size, ReadBackLevel Level) Read(string path, Action<ReadOnlySpan<byte>> take, CancellationToken stop)
    {
        using MediaFile file = MediaFile.OpenRead(path, wantDirect: true);
        file.DropCache();
        long offset = 0;
        while (true)
        {
            stop.ThrowIfCancellationRequested();
            int length = file.Read(offset, _buffer.Span);
            if (length == 0)
            {
                break;
            }

            take(_buffer.Span[..length]);
            offset += length;
            if (file.IsDirect && length % AlignedBuffer.DefaultAlignment != 0)
            {
                // Direct reads end at the file's end; another one there would not be aligned.
                break;
            }
        }

        MediaVolume volume = file.Volume();
        ReadBackLevel level = volume.IsMemory || volume.IsFuse ? ReadBackLevel.Cached
            : file.IsDirect ? ReadBackLevel.Direct
            : ReadBackLevel.CacheDropped;
        return (offset, level);
    }

    /// <inheritdoc/>
    public void Dispose() => ((IDisposable)_buffer).Dispose();
}
