using System.IO.Hashing;
using KitMesh.Disk;
using KitMesh.Disk.Media;
using KitMesh.Domain.Reports;
using KitMesh.Offload.Drives;

namespace KitMesh.Offload.Engine;

// The problem: a copy is proof only if its bytes came back from the medium. The traps: the page cache answers in place of
// the drive; a file system served by a program (FUSE, as exFAT often is) bypasses only its own cache with direct I/O while
// the device's cache below still answers; a file system in memory has no medium at all; some file systems accept the
// direct flag and read small inlined files through the cache. The method: drop the file's pages, read with direct I/O, for
// FUSE flush the block device's cache first, and record the level that was really reached.

/// <summary>Reads a copy back from a drive and hashes it. One thread uses it at a time.</summary>
/// <param name="bufferSize">Bytes of each of its buffers.</param>
/// <param name="buffers">Two, so that one is hashed while the drive fills the other; one where files are no larger than it.</param>
internal sealed class ReadBack(int bufferSize = 2 << 20, int buffers = 2) : IDisposable
{
    private const int Mask = AlignedBuffer.DefaultAlignment - 1;

    private readonly AlignedBuffer[] _buffers = [.. Enumerable.Range(0, buffers).Select(_ => new AlignedBuffer(bufferSize))];
    private readonly XxHash128 _hash = new();
    private HashBeside? _beside;

    /// <summary>Makes the next reads come from the medium where the system's cache lies below the file system.</summary>
    /// <param name="drive">The drive.</param>
    /// <returns>True when there was such a cache and it was emptied.</returns>
    public static bool EmptyDeviceCache(OpenDrive drive)
    {
        if (!drive.Volume.IsFuse || drive.Mount is not { } mount || !mount.Source.StartsWith("/dev/", StringComparison.Ordinal))
        {
            return false;
        }

        try
        {
            using MediaFile device = MediaFile.OpenRead(mount.Source, wantDirect: false);
            return device.TryFlushDeviceCache();
        }
        catch (MediaFault)
        {
            return false;
        }
    }

    /// <summary>Reads a file and hashes it.</summary>
    /// <param name="drive">The drive.</param>
    /// <param name="path">Path on the drive.</param>
    /// <param name="deviceCacheEmptied">What <see cref="EmptyDeviceCache"/> said since the file was written.</param>
    /// <param name="read">Told the bytes of each piece; null when nobody listens.</param>
    /// <param name="stop">Gives up between two pieces.</param>
    /// <returns>Hash, bytes and level.</returns>
    /// <exception cref="MediaFault">The drive refused.</exception>
    public (ClipHash Hash, long Size, ReadBackLevel Level) Hash(OpenDrive drive, string path, bool deviceCacheEmptied, Action<long>? read, CancellationToken stop)
    {
        using MediaFile file = MediaFile.OpenRead(drive.Full(path), wantDirect: true);
        if (!file.IsDirect || !drive.Volume.DirectReadsTheMedium)
        {
            file.DropCache();
        }

        _hash.Reset();
        long size = file.Stat().Size;
        long offset = 0;
        try
        {
            for (int turn = 0; offset < size; turn = (turn + 1) % _buffers.Length)
            {
                stop.ThrowIfCancellationRequested();
                AlignedBuffer buffer = _buffers[turn];

                // Not past the end: the kernel would zero the rest of the buffer.
                int length = file.Read(offset, buffer.Span[..(int)Math.Min(buffer.Length, (size - offset + Mask) & ~(long)Mask)]);
                _beside?.Wait();
                if (length == 0)
                {
                    break;
                }

                offset += length;
                read?.Invoke(length);
                if (offset >= size || length < buffer.Length || _buffers.Length == 1)
                {
                    _hash.Append(buffer.Span[..length]);
                }
                else
                {
                    // While the drive fetches the next piece, another core hashes this one.
                    (_beside ??= new HashBeside(_hash)).Append(buffer);
                }
            }
        }
        finally
        {
            _beside?.Wait();
        }

        if (size <= Cards.CardFile.Small)
        {
            // It was written through the page cache, and nobody reads it again: its pages can take the next file's bytes.
            // Before the reading this would cost far more, since fresh pages cannot be dropped without asking every core.
            file.DropCache();
        }

        return (new ClipHash(_hash.GetCurrentHashAsUInt128()), offset, LevelOf(drive, file, deviceCacheEmptied));
    }

    /// <inheritdoc/>
    public void Dispose()
    {
        _beside?.Dispose();
        foreach (AlignedBuffer buffer in _buffers)
        {
            ((IDisposable)buffer).Dispose();
        }
    }

    private static ReadBackLevel LevelOf(OpenDrive drive, MediaFile file, bool deviceCacheEmptied)
    {
        if (drive.Volume.IsMemory)
        {
            return ReadBackLevel.Cached;
        }

        if (drive.Volume.IsFuse)
        {
            return deviceCacheEmptied ? ReadBackLevel.CacheDropped : ReadBackLevel.Cached;
        }

        return file.IsDirect ? ReadBackLevel.Direct : ReadBackLevel.CacheDropped;
    }
}
