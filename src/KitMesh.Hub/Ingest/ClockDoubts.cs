using KitMesh.Domain.Reports;
using KitMesh.Domain.Time;
using NodaTime;

namespace KitMesh.Hub.Ingest;

/// <summary>How far the newest time of each node may itself be off: a clock read over a slow link is good to half its round trip.</summary>
/// <remarks>
/// Kept is the last thing that each boot of a node wrote, by its own monotonic clock: whatever times turn out to hold later,
/// the newest of a node is one of these, and nothing needs to be read again.
/// </remarks>
internal sealed class ClockDoubts
{
    private readonly Lock _gate = new();
    private readonly Dictionary<NodeId, Dictionary<BootId, DeviceTime>> _last = [];
    private Retiming _retiming = Retiming.None;

    /// <summary>The doubt of a node's newest report; none when it was never heard.</summary>
    public Duration Of(NodeId node)
    {
        lock (_gate)
        {
            return _last.TryGetValue(node, out Dictionary<BootId, DeviceTime>? boots)
                ? boots.Values.Select(written => _retiming.Of(node, written)).MaxBy(time => time.Time).Doubt
                : Duration.Zero;
        }
    }

    /// <summary>Takes in when a node wrote something.</summary>
    public void Add(Report report)
    {
        lock (_gate)
        {
            if (!_last.TryGetValue(report.Key.Origin.Node, out Dictionary<BootId, DeviceTime>? boots))
            {
                _last.Add(report.Key.Origin.Node, boots = []);
            }

            DeviceTime written = report.Written;
            if (!boots.TryGetValue(written.Boot, out DeviceTime last) || written.MonotonicNanoseconds >= last.MonotonicNanoseconds)
            {
                boots[written.Boot] = written;
            }
        }
    }

    /// <summary>Other times hold now.</summary>
    public void Retime(Retiming retiming)
    {
        lock (_gate)
        {
            _retiming = retiming;
        }
    }
}
