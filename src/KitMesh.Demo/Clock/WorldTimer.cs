namespace KitMesh.Demo.Clock;

/// <summary>
/// One timer on world time. It sleeps on machine time for as long as the present speed makes it, never longer than
/// <see cref="LongestNap"/>, and looks again: the speed may have changed meanwhile.
/// </summary>
internal sealed class WorldTimer : ITimer
{
    private static readonly TimeSpan LongestNap = TimeSpan.FromMilliseconds(10);
    private static readonly TimeSpan ShortestNap = TimeSpan.FromMilliseconds(1);
    private static readonly TimeSpan NapWhilePaused = TimeSpan.FromMilliseconds(2);

    private readonly Lock _lock = new();
    private readonly WorldClockFile _file;
    private readonly Action _callback;
    private readonly ITimer _machineTimer;
    private long _due = long.MaxValue;
    private long _period;
    private bool _ended;

    public WorldTimer(WorldClockFile file, TimeProvider machine, Action callback, TimeSpan dueTime, TimeSpan period)
    {
        _file = file;
        _callback = callback;
        _machineTimer = machine.CreateTimer(static timer => ((WorldTimer)timer!).Look(), this, Timeout.InfiniteTimeSpan, Timeout.InfiniteTimeSpan);
        Change(dueTime, period);
    }

    public bool Change(TimeSpan dueTime, TimeSpan period)
    {
        lock (_lock)
        {
            if (_ended)
            {
                return false;
            }

            _period = period > TimeSpan.Zero ? period.Ticks * 100 : 0;
            _due = dueTime < TimeSpan.Zero ? long.MaxValue : _file.Nanoseconds + (dueTime.Ticks * 100);
            Nap();
            return true;
        }
    }

    public void Dispose()
    {
        lock (_lock)
        {
            _ended = true;
            _machineTimer.Dispose();
        }
    }

    public ValueTask DisposeAsync()
    {
        Dispose();
        return ValueTask.CompletedTask;
    }

    private void Look()
    {
        bool isDue;
        lock (_lock)
        {
            long now = _file.Nanoseconds;
            isDue = !_ended && now >= _due;
            if (isDue)
            {
                // Periods that a busy machine missed are skipped, as a periodic timer does.
                _due = _period == 0 ? long.MaxValue : _due + (_period * (((now - _due) / _period) + 1));
            }

            if (!_ended)
            {
                Nap();
            }
        }

        if (isDue)
        {
            _callback();
        }
    }

    private void Nap()
    {
        if (_due == long.MaxValue)
        {
            _machineTimer.Change(Timeout.InfiniteTimeSpan, Timeout.InfiniteTimeSpan);
            return;
        }

        double speed = _file.Speed;
        double machineSeconds = speed > 0 ? (_due - _file.Nanoseconds) / 1e9 / speed : NapWhilePaused.TotalSeconds;
        TimeSpan nap = machineSeconds >= LongestNap.TotalSeconds ? LongestNap : TimeSpan.FromSeconds(Math.Max(0, machineSeconds));
        _machineTimer.Change(nap < ShortestNap ? ShortestNap : nap, Timeout.InfiniteTimeSpan);
    }
}
