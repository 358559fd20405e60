using KitMesh.Domain.Reports;
using KitMesh.Sync.Session;
using NodaTime;

namespace KitMesh.Hub.Links;

/// <summary>Counts the bytes that a link carries in a civil day of the crew, both directions together.</summary>
/// <remarks>
/// The dialling hub counts at its socket: heads of HTTP/2 and TLS and every handshake are in it, those of TCP and IP are not. The
/// dialled one counts frames before compression, which is never less by much and mostly more. Each keeps to its own count.
/// </remarks>
internal sealed class LinkMeter(NodeId peer, long budgetBytes, IClock world) : ILinkMeter
{
    /// <summary>Readings stop at three quarters: a day's alerts fit into the rest many times.</summary>
    private const double ShareOfReadings = 0.75;

    private readonly Lock _gate = new();
    private Offset _offset;
    private LocalDate _day;
    private long _bytes;

    /// <summary>Told once a day, when the budget is spent.</summary>
    public event Action? Spent;

    /// <summary>The other hub.</summary>
    public NodeId Peer => peer;

    /// <summary>The budget of a day.</summary>
    public long BudgetBytes => budgetBytes;

    /// <summary>Difference of the crew's civil time from UTC.</summary>
    public Offset Zone
    {
        set
        {
            lock (_gate)
            {
                _offset = value;
            }
        }
    }

    /// <inheritdoc/>
    public bool HasRoomForReadings => Today.Bytes < ShareOfReadings * budgetBytes;

    /// <inheritdoc/>
    public bool HasRoom => Today.Bytes < budgetBytes;

    /// <summary>The day and what it carried so far.</summary>
    public (LocalDate Day, long Bytes) Today
    {
        get
        {
            lock (_gate)
            {
                Turn();
                return (_day, _bytes);
            }
        }
    }

    /// <summary>So many bytes went or came.</summary>
    public void Count(int bytes)
    {
        bool isSpent;
        lock (_gate)
        {
            Turn();
            isSpent = _bytes < budgetBytes && _bytes + bytes >= budgetBytes;
            _bytes += bytes;
        }

        if (isSpent)
        {
            Spent?.Invoke();
        }
    }

    /// <summary>What an earlier run of this hub counted.</summary>
    public void GoOn(LocalDate day, long bytes)
    {
        lock (_gate)
        {
            Turn();
            _bytes += day == _day ? bytes : 0;
        }
    }

    private void Turn()
    {
        LocalDate today = world.GetCurrentInstant().WithOffset(_offset).Date;
        if (today != _day)
        {
            (_day, _bytes) = (today, 0);
        }
    }
}
