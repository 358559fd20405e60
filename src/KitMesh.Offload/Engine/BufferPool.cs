namespace KitMesh.Offload.Engine;

/// <summary>A fixed number of buffers. Who finds none waits: that is what holds the card back when the drives are slower.</summary>
/// <remarks>A monitor and no semaphore, since that one spins before it sleeps, and here waiting is the rule.</remarks>
internal sealed class BufferPool : IDisposable
{
    private readonly Stack<SharedBuffer> _free = new();
    private readonly object _gate = new();
    private bool _disposed;

    public BufferPool(int buffers, int size)
    {
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
            if (_disposed)
            {
                buffer.Free();
                return;
            }

            _free.Push(buffer);
            Monitor.Pulse(_gate);
        }
    }

    /// <summary>Makes a buffer in place of one that will not come back.</summary>
    public void Replace() => GiveBack(new SharedBuffer(this, Size));

    /// <inheritdoc/>
    public void Dispose()
    {
        // Those that a thread still holds which hangs with its drive or card are freed when it lets go, and not before.
        lock (_gate)
        {
            _disposed = true;
            while (_free.TryPop(out SharedBuffer? buffer))
            {
                buffer.Free();
            }
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
