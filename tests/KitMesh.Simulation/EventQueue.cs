using NodaTime;

namespace KitMesh.Simulation;

/// <summary>Everything that will happen, in the order of time and then of asking.</summary>
internal sealed class EventQueue
{
    private readonly PriorityQueue<Action, (long Nanoseconds, long Order)> _queue = new();
    private long _order;

    internal Duration Now { get; private set; }

    internal long Done { get; private set; }

    internal void After(Duration delay, Action action) =>
        _queue.Enqueue(action, ((Now + delay).ToInt64Nanoseconds(), _order++));

    /// <summary>Lets time pass up to a moment, or until a condition holds.</summary>
    internal void RunUntil(Duration end, Func<bool>? isEnough = null)
    {
        while (_queue.TryPeek(out _, out (long Nanoseconds, long Order) key) && key.Nanoseconds <= end.ToInt64Nanoseconds())
        {
            if (isEnough?.Invoke() == true)
            {
                return;
            }

            Action action = _queue.Dequeue();
            Now = Duration.FromNanoseconds(key.Nanoseconds);
            Done++;
            action();
        }

        Now = end;
    }
}
