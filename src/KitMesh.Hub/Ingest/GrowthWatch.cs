using KitMesh.Domain.Reports;

namespace KitMesh.Hub.Ingest;

/// <summary>One session's list of origins that grew since it last looked: each once, so it is bounded by the origins there are.</summary>
internal sealed class GrowthWatch(GrowthBoard board, Action signal) : IDisposable
{
    private readonly Lock _gate = new();
    private HashSet<OriginId> _grown = [];
    private NodeId? _only;

    /// <summary>From now on only one node's origins matter: an agent wants to hear of nobody else's.</summary>
    public void LimitTo(NodeId node)
    {
        lock (_gate)
        {
            _only = node;
        }
    }

    /// <summary>What grew since the last call.</summary>
    public IReadOnlyCollection<OriginId> Take()
    {
        lock (_gate)
        {
            if (_grown.Count == 0)
            {
                return [];
            }

            HashSet<OriginId> taken = _grown;
            _grown = [];
            return taken;
        }
    }

    /// <inheritdoc/>
    public void Dispose() => board.Forget(this);

    internal void Note(IReadOnlyCollection<OriginId> origins)
    {
        bool grew = false;
        lock (_gate)
        {
            foreach (OriginId origin in origins)
            {
                if (_only is not { } only || origin.Node == only)
                {
                    _grown.Add(origin);
                    grew = true;
                }
            }
        }

        if (grew)
        {
            signal();
        }
    }
}
