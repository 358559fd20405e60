using KitMesh.Domain.Reports;

namespace KitMesh.Hub.Ingest;

/// <summary>One session's list of origins that grew since it last looked: each once, so it is bounded by the origins there are.</summary>
internal sealed class GrowthWatch(GrowthBoard board, Action signal) : IDisposable
{
    private readonly Lock _gate = new();
    private HashSet<OriginId> _grown = [];

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
        lock (_gate)
        {
            _grown.UnionWith(origins);
        }

        signal();
    }
}
