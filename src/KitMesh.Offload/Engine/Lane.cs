using System.Collections.Concurrent;

namespace KitMesh.Offload.Engine;

/// <summary>A thread that takes orders one after the other from a bounded queue.</summary>
/// <remarks>
/// Blocking threads and not tasks: each mostly waits inside one system call on one device, and a device that hangs must
/// hang its own thread and no other's.
/// </remarks>
internal abstract class Lane : IDisposable
{
    private const int QueueLength = 64;
    private const int StackBytes = 256 * 1024;

    private readonly BlockingCollection<LaneOrder> _orders = new(QueueLength);
    private readonly Thread _thread;
    private Exception? _fault;

    protected Lane(string name) => _thread = new Thread(Work, StackBytes) { Name = name, IsBackground = true };

    /// <summary>Starts the thread.</summary>
    public void Start() => _thread.Start();

    /// <summary>Gives an order; waits while the queue is full.</summary>
    /// <param name="order">The order. A buffer in it is held for this lane until the lane lets go.</param>
    public void Post(LaneOrder order) => _orders.Add(order);

    /// <summary>No more orders will come.</summary>
    public void Close() => _orders.CompleteAdding();

    /// <summary>Waits until all orders are done.</summary>
    /// <exception cref="InvalidOperationException">The lane met a fault of this program.</exception>
    public void Join()
    {
        _thread.Join();
        if (_fault is not null)
        {
            throw new InvalidOperationException($"The {_thread.Name} lane failed.", _fault);
        }
    }

    /// <inheritdoc/>
    public virtual void Dispose() => _orders.Dispose();

    /// <summary>Does one order; must not let a field fault out. The buffer is released by the caller.</summary>
    /// <param name="order">The order.</param>
    protected abstract void Do(LaneOrder order);

    /// <summary>All orders were done.</summary>
    protected virtual void Finish()
    {
    }

    private void Work()
    {
        foreach (LaneOrder order in _orders.GetConsumingEnumerable())
        {
            Guarded(() => Do(order));
            order.Buffer?.Release();
            if (_fault is not null)
            {
                // The others must not wait for this lane.
                order.Answer?.TrySetException(_fault);
                order.Transfer.SetDigest(null);
            }
        }

        Guarded(Finish);
    }

    private void Guarded(Action action)
    {
        if (_fault is not null)
        {
            return;
        }

        try
        {
            action();
        }
        catch (Exception fault)
        {
            _fault = fault;
        }
    }
}
