namespace KitMesh.Sync.Session;

/// <summary>The bytes that all sessions of a node together may have on their way in: what bounds a hub's memory.</summary>
/// <remarks>
/// A session reserves a window when it starts, grants the peer no more than that, and returns it when it ends. With the
/// budget used up a new session starts without credit and asks again at each tick. Safe to call from many threads.
/// </remarks>
public sealed class CreditBudget
{
    /// <summary>The least window that is worth granting: one report of the greatest size fits.</summary>
    public const long LeastWindow = 128 << 10;

    private readonly Lock _gate = new();
    private long _free;

    /// <summary>A budget.</summary>
    /// <param name="bytes">From <see cref="LeastWindow"/> up.</param>
    public CreditBudget(long bytes)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(bytes, LeastWindow);
        Total = bytes;
        _free = bytes;
    }

    /// <summary>All of it.</summary>
    public long Total { get; }

    /// <summary>What is not reserved.</summary>
    public long Free
    {
        get
        {
            lock (_gate)
            {
                return _free;
            }
        }
    }

    /// <summary>
    /// Reserves a window: as much as wished, but no more than a fair share, and at least <see cref="LeastWindow"/>. The share is
    /// a 128th of the whole, so that many senders at once get the same; the last quarter of the budget goes in least windows.
    /// </summary>
    /// <param name="wish">What a session would like.</param>
    /// <returns>What it gets; 0 when not even the least is free.</returns>
    public long Reserve(long wish)
    {
        lock (_gate)
        {
            long share = _free > Total / 4 ? Total / 128 : LeastWindow;
            long window = Math.Max(LeastWindow, Math.Min(wish, share));
            if (window > _free)
            {
                return 0;
            }

            _free -= window;
            return window;
        }
    }

    /// <summary>Gives a window back.</summary>
    /// <param name="window">What <see cref="Reserve"/> gave.</param>
    public void Return(long window)
    {
        lock (_gate)
        {
            _free += window;
            if (_free > Total)
            {
                throw new InvalidOperationException("More credit came back than was reserved.");
            }
        }
    }
}
