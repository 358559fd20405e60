using KitMesh.Disk;

namespace KitMesh.Offload.Engine;

/// <summary>One piece of a file in memory, read once and used by every hash and drive; the last one to let go gives it back.</summary>
internal sealed class SharedBuffer(BufferPool pool, int size)
{
    private readonly AlignedBuffer _memory = new(size);
    private int _holders;
    private int _leftBehind;

    /// <summary>The memory.</summary>
    public Span<byte> Span => _memory.Span;

    /// <summary>Sets how many will let go.</summary>
    /// <param name="holders">Their number.</param>
    public void HoldFor(int holders) => Volatile.Write(ref _holders, holders);

    /// <summary>More will let go; only while somebody still holds it.</summary>
    /// <param name="holders">Their number.</param>
    public void HoldForMore(int holders) => Interlocked.Add(ref _holders, holders);

    /// <summary>One holder is done.</summary>
    public void Release()
    {
        if (Interlocked.Decrement(ref _holders) == 0)
        {
            pool.GiveBack(this);
        }
    }

    /// <summary>One holder will never be done, since a drive hangs with it: another buffer takes this one's place.</summary>
    public void LeaveBehind()
    {
        if (Interlocked.Exchange(ref _leftBehind, 1) == 0)
        {
            pool.Replace();
        }
    }

    /// <summary>Frees the memory; only when nobody holds it.</summary>
    public void Free() => ((IDisposable)_memory).Dispose();
}
