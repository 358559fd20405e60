namespace KitMesh.Offload.Engine;

/// <summary>A fixed number of buffers. Who finds none waits: that is what holds the card back when the drives are slower.</summary>
/// <remarks>A monitor and no semaphore, since that one spins before it sleeps, and here waiting is the rule.</remarks>
internal sealed class BufferPool : IDisposable
{
    private readonly Stack<SharedBuffer> _free = new();
    private readonly object _gate = new();
    private readonly int _buffers;

    public BufferPool(int buffers, int size)
    {
        _buffers = buffers;
        Size = size;
        for (int i = 0; i < buffers; i++)
        {
            _free.Push(new SharedBuffer(this, size));
        }
    }

    /// <summary>Bytes of one buffer.</summary>
    public int Size { get; }

    /// <summary>Takes a buffer; waits until one is free.</summary>
    /// <param name="stop">Gives up waiting.</param>
    /// <exception cref="OperationCanceledException">Stopped.</exception>
    public SharedBuffer Take(CancellationToken stop)
    {
        using CancellationTokenRegistration wake = stop.CanBeCanceled ? stop.UnsafeRegister(static pool => ((BufferPool)pool!).Wake(), this) : default;
        lock (_gate)
        {
            while (true)
            {
                stop.ThrowIfCancellationRequested();
                if (_free.TryPop(out SharedBuffer? buffer))
                {
                    return buffer;
                }

                Monitor.Wait(_gate);
            }
        }
    }

    /// <summary>Puts a buffer back.</summary>
    /// <param name="buffer">The buffer.</param>
    public void GiveBack(SharedBuffer buffer)
    {
        lock (_gate)
        {
            _free.Push(buffer);
            Monitor.Pulse(_gate);
        }
    }

    /// <summary>Makes a buffer in place of one that will not come back.</summary>
    public void Replace() => GiveBack(new SharedBuffer(this, Size));

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
    }

    private void Wake()
    {
        lock (_gate)
        {
            Monitor.PulseAll(_gate);
        }
    }
}
