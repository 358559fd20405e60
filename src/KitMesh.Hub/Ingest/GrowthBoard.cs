using KitMesh.Domain.Reports;

namespace KitMesh.Hub.Ingest;

/// <summary>Tells every session which origins grew in the journal, whoever brought the reports.</summary>
internal sealed class GrowthBoard
{
    private readonly Lock _gate = new();
    private readonly HashSet<GrowthWatch> _watches = [];

    /// <summary>Starts to watch.</summary>
    /// <param name="signal">Called, without any lock held, when there is something to take; must not block.</param>
    public GrowthWatch Watch(Action signal)
    {
        var watch = new GrowthWatch(this, signal);
        lock (_gate)
        {
            _watches.Add(watch);
        }

        return watch;
    }

    /// <summary>Origins grew.</summary>
    public void Grew(IReadOnlyCollection<OriginId> origins)
    {
        GrowthWatch[] watches;
        lock (_gate)
        {
            watches = [.. _watches];
        }

        foreach (GrowthWatch watch in watches)
        {
            watch.Note(origins);
        }
    }

    internal void Forget(GrowthWatch watch)
    {
        lock (_gate)
        {
            _watches.Remove(watch);
        }
    }
}
