using System.Buffers;
using System.Runtime.InteropServices;
using KitMesh.Disk.Media;

namespace KitMesh.Disk;

// The problem: buffers of megabytes that live for one offload, in a process that may do many. The trap: the C library's
// allocator keeps what was freed. Once a block of 4 MiB was given back, it serves later ones of that size from its arenas
// (one for each thread) and not by a mapping of their own, and what lies free in an arena below something still used is
// never returned: a process that offloaded twelve times held 60 MiB more than one that offloaded once. The method: each
// buffer is a mapping of its own; the kernel zeroes its pages when they are first touched and takes them back at once.
// Source: mallopt(3), M_MMAP_THRESHOLD ("dynamic mmap threshold"); mmap(2).

/// <summary>Memory outside the collector's heap, aligned for direct I/O. Nobody else frees it: dispose it after the last read or write that uses it.</summary>
public sealed unsafe class AlignedBuffer : MemoryManager<byte>
{
    /// <summary>Suits every drive with sectors of up to 4 KiB.</summary>
    public const int DefaultAlignment = 4096;

    private readonly int _length;
    private readonly bool _mapped;
    private void* _start;

    /// <summary>A zeroed buffer.</summary>
    /// <param name="length">Its size in bytes, a multiple of <paramref name="alignment"/>.</param>
    /// <param name="alignment">A power of two.</param>
    /// <exception cref="ArgumentOutOfRangeException">The size or the alignment does not fit.</exception>
    public AlignedBuffer(int length, int alignment = DefaultAlignment)
    {
        ArgumentOutOfRangeException.ThrowIfNegativeOrZero(length);
        ArgumentOutOfRangeException.ThrowIfNotEqual(System.Numerics.BitOperations.IsPow2(alignment), true, nameof(alignment));
        ArgumentOutOfRangeException.ThrowIfNotEqual(length % alignment, 0, nameof(length));
        _length = length;
        _mapped = OperatingSystem.IsLinux() && alignment <= Environment.SystemPageSize;
        _start = _mapped ? SystemCalls.MapMemory(length) : NativeMemory.AlignedAlloc((nuint)length, (nuint)alignment);
        if (!_mapped)
        {
            NativeMemory.Clear(_start, (nuint)length);
        }
    }

    /// <summary>Bytes in the buffer.</summary>
    public int Length => _length;

    /// <summary>The bytes.</summary>
    public Span<byte> Span => GetSpan();

    /// <inheritdoc/>
    public override Span<byte> GetSpan()
    {
        ObjectDisposedException.ThrowIf(_start is null, this);
        return new(_start, _length);
    }

    /// <inheritdoc/>
    public override MemoryHandle Pin(int elementIndex = 0)
    {
        ArgumentOutOfRangeException.ThrowIfNegative(elementIndex);
        ArgumentOutOfRangeException.ThrowIfGreaterThan(elementIndex, _length);
        ObjectDisposedException.ThrowIf(_start is null, this);
        return new((byte*)_start + elementIndex, default, this);
    }

    /// <inheritdoc/>
    public override void Unpin()
    {
    }

    /// <inheritdoc/>
    protected override void Dispose(bool disposing)
    {
        if (_start is null)
        {
            return;
        }

        void* start = _start;
        _start = null;
        if (_mapped)
        {
            SystemCalls.UnmapMemory(start, _length);
        }
        else
        {
            NativeMemory.AlignedFree(start);
        }
    }
}
