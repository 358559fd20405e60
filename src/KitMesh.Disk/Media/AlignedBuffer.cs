using System.Runtime.InteropServices;

namespace KitMesh.Disk.Media;

/// <summary>Memory outside the collected heap, aligned for direct I/O.</summary>
public sealed unsafe class AlignedBuffer : IDisposable
{
    /// <summary>Alignment that every block device takes.</summary>
    public const int Alignment = 4096;

    private void* _memory;

    /// <summary>Takes memory; what is in it is not told.</summary>
    /// <param name="size">Bytes, a multiple of <see cref="Alignment"/>.</param>
    public AlignedBuffer(int size)
    {
        ArgumentOutOfRangeException.ThrowIfNotEqual(size % Alignment, 0);
        Size = size;
        _memory = NativeMemory.AlignedAlloc((nuint)size, Alignment);
    }

    /// <summary>Bytes.</summary>
    public int Size { get; }

    /// <summary>The bytes.</summary>
    public Span<byte> Span
    {
        get
        {
            ObjectDisposedException.ThrowIf(_memory is null, this);
            return new(_memory, Size);
        }
    }

    internal byte* Pointer
    {
        get
        {
            ObjectDisposedException.ThrowIf(_memory is null, this);
            return (byte*)_memory;
        }
    }

    /// <summary>Rounds up to the alignment.</summary>
    /// <param name="length">Bytes.</param>
    public static int RoundUp(int length) => (length + Alignment - 1) & ~(Alignment - 1);

    /// <inheritdoc/>
    public void Dispose()
    {
        NativeMemory.AlignedFree(_memory);
        _memory = null;
    }
}
