using KitMesh.Domain.Reports;

namespace KitMesh.Sync.Session;

/// <summary>The progress of every origin in a session, in a stable order.</summary>
internal sealed class ProgressTable
{
    private readonly SortedDictionary<OriginId, OriginProgress> _origins = [];

    /// <summary>How many origins there are.</summary>
    public int Count => _origins.Count;

    /// <summary>Whether something sent has not been answered.</summary>
    public bool Awaits => _origins.Values.Any(origin => origin.Awaits);

    /// <summary>The progress of one origin.</summary>
    public OriginProgress Of(OriginId origin)
    {
        if (!_origins.TryGetValue(origin, out OriginProgress? progress))
        {
            _origins.Add(origin, progress = new OriginProgress());
        }

        return progress;
    }
}
