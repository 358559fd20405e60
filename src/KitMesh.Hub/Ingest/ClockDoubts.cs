using KitMesh.Domain.Reports;
using KitMesh.Domain.Time;
using NodaTime;

namespace KitMesh.Hub.Ingest;

/// <summary>How far the newest time of each node may itself be off: a clock read over a slow link is good to half its round trip.</summary>
internal sealed class ClockDoubts
{
    private readonly Lock _gate = new();
    private readonly Dictionary<NodeId, RetimedInstant> _newest = [];

    /// <summary>The doubt of a node's newest report; none when it was never heard.</summary>
    public Duration Of(NodeId node)
    {
        lock (_gate)
        {
            return _newest.TryGetValue(node, out RetimedInstant newest) ? newest.Doubt : Duration.Zero;
        }
    }

    /// <summary>Takes in when a node wrote something.</summary>
    public void Add(NodeId node, RetimedInstant time)
    {
        lock (_gate)
        {
            if (!_newest.TryGetValue(node, out RetimedInstant newest) || time.Time >= newest.Time)
            {
                _newest[node] = time;
            }
        }
    }

    /// <summary>Forgets everything, before it is taken in again with new times.</summary>
    public void Clear()
    {
        lock (_gate)
        {
            _newest.Clear();
        }
    }
}
