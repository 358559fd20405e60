using KitMesh.Domain.Reports;
using KitMesh.Sync.Journal;

namespace KitMesh.Agent.Link;

/// <summary>Up to where a hub holds this agent's reports durably, over all sessions of this process.</summary>
internal sealed class HubProgress
{
    private readonly Lock _gate = new();
    private readonly Dictionary<OriginId, ulong> _acknowledged = [];

    /// <summary>A hub holds an origin up to a sequence.</summary>
    public void Acknowledge(OriginId origin, ulong upTo)
    {
        lock (_gate)
        {
            _acknowledged[origin] = Math.Max(upTo, _acknowledged.GetValueOrDefault(origin));
        }
    }

    /// <summary>Reports of this node that no hub is known to hold.</summary>
    public long Waiting(IJournalView journal)
    {
        OriginId own = journal.Own;
        ulong last = journal.Have(own)?.Ranges.Last ?? 0;
        lock (_gate)
        {
            ulong safe = _acknowledged.GetValueOrDefault(own);
            return last > safe ? (long)(last - safe) : 0;
        }
    }
}
