using KitMesh.Domain.Exchange;

namespace KitMesh.Sync.Session;

/// <summary>What the peer may still send, what of it is not on disk yet, and what may be granted again.</summary>
/// <param name="budget">The budget of all sessions.</param>
/// <remarks>Always: window = granted + on its way to disk + owed.</remarks>
internal sealed class IncomingCredit(CreditBudget budget)
{
    private long _window;
    private long _granted;
    private long _onItsWay;
    private long _owed;

    /// <summary>Whether something is received and not on disk yet.</summary>
    public bool Busy => _onItsWay > 0;

    /// <summary>Reserves the window; the result goes into hello or the next credit frame.</summary>
    public long Open(long wish)
    {
        _window = budget.Reserve(wish);
        _granted = _window;
        return _window;
    }

    /// <summary>Asks again when the budget was used up at the start.</summary>
    public void Retry(long wish)
    {
        if (_window == 0)
        {
            _window = budget.Reserve(wish);
            _owed = _window;
        }
    }

    /// <summary>Takes a frame's cost from the grant.</summary>
    /// <returns>False when the peer sent more than it may.</returns>
    public bool TryReceive(long cost)
    {
        if (cost > _granted)
        {
            return false;
        }

        _granted -= cost;
        _onItsWay += cost;
        return true;
    }

    /// <summary>A received frame is on disk: its cost may be granted again.</summary>
    public void Settle(long cost)
    {
        _onItsWay -= cost;
        _owed += cost;
    }

    /// <summary>What to grant now; 0 while it is too little to be worth a frame.</summary>
    /// <remarks>Trap: with less than the largest report costs the peer would wait for this grant, and this side for its report.</remarks>
    public long TakeOwed()
    {
        if (_owed == 0 || (_owed < _window / 4 && _granted >= ReportsFrame.MaxReportBytes + ReportsFrame.CostPerReport))
        {
            return 0;
        }

        long grant = _owed;
        _granted += grant;
        _owed = 0;
        return grant;
    }

    /// <summary>Gives back what is free of the window. What is on its way to disk still fills memory: <see cref="SettleLate"/> gives that back.</summary>
    public void Close()
    {
        budget.Return(_window - _onItsWay);
        _window = _granted = _owed = 0;
    }

    /// <summary>A frame's bytes have left memory after <see cref="Close"/>.</summary>
    public void SettleLate(long cost)
    {
        _onItsWay -= cost;
        budget.Return(cost);
    }
}
