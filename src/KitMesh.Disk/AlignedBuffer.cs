using System.Buffers;
using System.Runtime.InteropServices;

namespace KitMesh.Disk;

/// <summary>Memory outside the collector's heap, aligned for direct I/O. Nobody else frees it: dispose it after the last read or write that uses it.</summary>
public sealed unsafe class AlignedBuffer : MemoryManager<byte>
{
    /// <summary>Suits every drive with sectors of up to 4 KiB.</summary>
    public const int DefaultAlignment = 4096;

    private readonly int _length;
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
        _start = NativeMemory.AlignedAlloc((nuint)length, (nuint)alignment);
        _length = length;
        NativeMemory.Clear(_start, (nuint)length);
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
        if (_start is not null)
        {
            NativeMemory.AlignedFree(_start);
            _start = null;
        }
    }
}
