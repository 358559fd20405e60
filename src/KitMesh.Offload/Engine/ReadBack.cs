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
internal sealed class ReadBack : IDisposable
{
    private const int BufferSize = 4 << 20;

    private readonly AlignedBuffer[] _buffers = [new(BufferSize), new(BufferSize)];
    private readonly XxHash128 _hash = new();

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
        file.DropCache();
        _hash.Reset();
        long offset = 0;
        Task hashing = Task.CompletedTask;
        try
        {
            for (int turn = 0; ; turn ^= 1)
            {
                stop.ThrowIfCancellationRequested();
                AlignedBuffer buffer = _buffers[turn];
                int length = file.Read(offset, buffer.Span);
                hashing.GetAwaiter().GetResult();
                if (length == 0)
                {
                    break;
                }

                offset += length;
                read?.Invoke(length);
                bool last = file.IsDirect && length % AlignedBuffer.DefaultAlignment != 0;
                if (last || length < buffer.Length)
                {
                    _hash.Append(buffer.Span[..length]);
                    if (last)
                    {
                        break;
                    }

                    hashing = Task.CompletedTask;
                }
                else
                {
                    // While the drive fetches the next piece, another core hashes this one.
                    hashing = Task.Run(() => _hash.Append(buffer.Span));
                }
            }
        }
        finally
        {
            hashing.GetAwaiter().GetResult();
        }

        return (new ClipHash(_hash.GetCurrentHashAsUInt128()), offset, LevelOf(drive, file, deviceCacheEmptied));
    }

    /// <inheritdoc/>
    public void Dispose()
    {
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
