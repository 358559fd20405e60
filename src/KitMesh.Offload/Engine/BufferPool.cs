using System.Collections.Concurrent;

namespace KitMesh.Offload.Engine;

/// <summary>A fixed number of buffers. Who finds none waits: that is what holds the card back when the drives are slower.</summary>
internal sealed class BufferPool : IDisposable
{
    private readonly ConcurrentStack<SharedBuffer> _free = new();
    private readonly SemaphoreSlim _count;
    private readonly int _buffers;

    public BufferPool(int buffers, int size)
    {
        _buffers = buffers;
        Size = size;
        _count = new SemaphoreSlim(buffers);
        for (int i = 0; i < buffers; i++)
        {
            _free.Push(new SharedBuffer(this, size));
        }
    }

    /// <summary>Bytes of one buffer.</summary>
    public int Size { get; }

    /// <summary>Takes a buffer; waits until one is free.</summary>
    /// <param name="stop">Gives up waiting.</param>
    public SharedBuffer Take(CancellationToken stop)
    {
        _count.Wait(stop);
        return _free.TryPop(out SharedBuffer? buffer) ? buffer : throw new InvalidOperationException("A buffer was counted that is not there.");
    }

    /// <summary>Puts a buffer back.</summary>
    /// <param name="buffer">The buffer.</param>
    public void GiveBack(SharedBuffer buffer)
    {
        _free.Push(buffer);
        _count.Release();
    }

    /// <inheritdoc/>
    public void Dispose()
    {
        if (_free.Count != _buffers)
        {
            // A thread that did not end may still write to one: leaking it is right, freeing it is not.
            return;
        }

        foreach (SharedBuffer buffer in _free)
        {
            buffer.Free();
        }

        _count.Dispose();
    }
}
