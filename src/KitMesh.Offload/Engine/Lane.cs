namespace KitMesh.Offload.Engine;

/// <summary>A thread that takes orders one after the other from a bounded queue.</summary>
/// <remarks>
/// Blocking threads and not tasks: each mostly waits inside one system call on one device, and a device that hangs must
/// hang its own thread and no other's. The queue is a monitor and no ready-made one, since those spin before they sleep:
/// with thousands of small files the spinning of waiting lanes cost more than the copying.
/// </remarks>
internal abstract class Lane : IDisposable
{
    private const int QueueLength = 512;
    private const int StackBytes = 256 * 1024;

    private readonly Queue<LaneOrder> _orders = new();
    private readonly List<LaneOrder> _held = [];
    private readonly object _gate = new();
    private readonly Thread _thread;
    private bool _closed;
    private bool _left;
    private bool _ended;
    private LaneOrder _doing;
    private Exception? _fault;

    protected Lane(string name) => _thread = new Thread(Work, StackBytes) { Name = name, IsBackground = true };

    /// <summary>Starts the thread.</summary>
    public void Start() => _thread.Start();

    /// <summary>Gives an order; waits while the queue is full.</summary>
    /// <param name="order">The order. A buffer in it is held for this lane until the lane lets go.</param>
    public void Post(LaneOrder order)
    {
        Hold(order);
        PostHeld();
    }

    /// <summary>Keeps an order back until <see cref="PostHeld"/> or the next order that is not kept back: waking a thread costs more than a small file.</summary>
    /// <param name="order">The order. A buffer in it is held for this lane until the lane lets go.</param>
    /// <remarks>One thread gives all orders; only that one may call this.</remarks>
    public void Hold(LaneOrder order) => _held.Add(order);

    /// <summary>Gives all orders that were kept back, in their order; waits while the queue is full.</summary>
    public void PostHeld()
    {
        if (_held.Count == 0)
        {
            return;
        }

        lock (_gate)
        {
            while (_orders.Count >= QueueLength && !_left)
            {
                Monitor.Wait(_gate);
            }

            if (!_left)
            {
                bool empty = _orders.Count == 0;
                _held.ForEach(_orders.Enqueue);
                if (empty)
                {
                    Monitor.PulseAll(_gate);
                }
            }
            else
            {
                _held.ForEach(Refuse);
            }
        }

        _held.Clear();
    }

    /// <summary>Nobody waits for this lane any more: its device hangs. What it was doing keeps its buffer, since the device may still use it.</summary>
    public void LeaveBehind()
    {
        List<LaneOrder> rest;
        LaneOrder doing;
        lock (_gate)
        {
            if (_left || _ended)
            {
                return;
            }

            _left = true;
            doing = _doing;
            rest = [.. _orders];
            _orders.Clear();
            Monitor.PulseAll(_gate);
        }

        doing.Answer?.TrySetResult(false);
        doing.Buffer?.LeaveBehind();
        rest.ForEach(Refuse);
    }

    /// <summary>No more orders will come.</summary>
    public void Close()
    {
        PostHeld();
        lock (_gate)
        {
            _closed = true;
            Monitor.PulseAll(_gate);
        }
    }

    /// <summary>Waits until all orders are done and the thread has ended, or was left behind.</summary>
    /// <returns>False when it was left behind: nothing that it uses may be freed.</returns>
    public bool End()
    {
        lock (_gate)
        {
            while (!_ended && !_left)
            {
                Monitor.Wait(_gate);
            }

            return !_left;
        }
    }

    /// <summary>Tells what ended a lane before its time.</summary>
    /// <exception cref="InvalidOperationException">The lane met a fault of this program.</exception>
    public void ThrowIfFaulted()
    {
        if (_fault is not null && !_left)
        {
            throw new InvalidOperationException($"The {_thread.Name} lane failed.", _fault);
        }
    }

    /// <inheritdoc/>
    public virtual void Dispose()
    {
    }

    /// <summary>Does one order; must not let a field fault out. The buffer is released by the caller.</summary>
    /// <param name="order">The order.</param>
    protected abstract void Do(LaneOrder order);

    /// <summary>There is no order at the moment. Must not block.</summary>
    protected virtual void Idle()
    {
    }

    /// <summary>All orders were done.</summary>
    protected virtual void Finish()
    {
    }

    private bool TryNext(out LaneOrder order)
    {
        lock (_gate)
        {
            while (!_orders.TryDequeue(out order))
            {
                Idle();
                if (_closed || _left)
                {
                    return false;
                }

                Monitor.Wait(_gate);
            }

            // Half empty: waking the reader for each order that leaves would cost a switch for each. It waits only while there
            // are more, and whoever takes one out passes this mark.
            if (_orders.Count == QueueLength / 2)
            {
                Monitor.PulseAll(_gate);
            }

            _doing = order;
            return true;
        }
    }

    private static void Refuse(LaneOrder order)
    {
        order.Buffer?.Release();
        order.Answer?.TrySetResult(false);
    }

    private void Work()
    {
        while (TryNext(out LaneOrder order))
        {
            Guarded(() => Do(order));
            if (!IsDone())
            {
                return;
            }

            order.Buffer?.Release();
            if (_fault is not null)
            {
                // The others must not wait for this lane.
                order.Answer?.TrySetException(_fault);
                order.Transfer.SetDigest(null);
            }
        }

        if (IsDone())
        {
            Guarded(Finish);
            lock (_gate)
            {
                _ended = true;
                Monitor.PulseAll(_gate);
            }
        }
    }

    // False when the lane was left behind meanwhile.
    private bool IsDone()
    {
        lock (_gate)
        {
            _doing = default;
            return !_left;
        }
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
