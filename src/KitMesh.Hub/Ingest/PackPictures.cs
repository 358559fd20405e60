using KitMesh.Alerts.Inputs;
using KitMesh.Domain.Reports;

namespace KitMesh.Hub.Ingest;

/// <summary>The newest values of every pack and bank. A reading of an unbelievable time is left out.</summary>
internal sealed class PackPictures
{
    private readonly Lock _gate = new();
    private Dictionary<KitId, PackPicture> _pictures = [];

    /// <summary>All of them.</summary>
    public IReadOnlyDictionary<KitId, PackPicture> All
    {
        get
        {
            lock (_gate)
            {
                return new Dictionary<KitId, PackPicture>(_pictures);
            }
        }
    }

    /// <summary>Takes a report in; other kinds change nothing.</summary>
    public void Add(TimedReport timed)
    {
        if (timed.Report.Body is not BatteryReading reading || !Domain.Time.Retiming.IsPlausible(timed.Time))
        {
            return;
        }

        lock (_gate)
        {
            _pictures[reading.Pack] = _pictures.TryGetValue(reading.Pack, out PackPicture? picture)
                ? picture.With(reading, timed.Time)
                : PackPicture.From(reading, timed.Time);
        }
    }

    /// <summary>Forgets everything, before it is taken in again with new times.</summary>
    public void Clear()
    {
        lock (_gate)
        {
            _pictures = [];
        }
    }
}
