using KitMesh.Domain.Exchange;

namespace KitMesh.Storage.Postgres;

/// <summary>The row of an origin while a transaction holds it.</summary>
/// <param name="id">Its number.</param>
/// <param name="ranges">The sequences held before.</param>
internal sealed class HeldOrigin(int id, SequenceRanges ranges)
{
    private readonly List<ulong> _added = [];

    /// <summary>Its number.</summary>
    public int Id { get; } = id;

    /// <summary>The sequences held.</summary>
    public SequenceRanges Ranges { get; private set; } = ranges;

    /// <summary>Whether the row must be written.</summary>
    public bool IsChanged { get; private set; }

    public long Oldest { get; set; }

    public long Newest { get; set; }

    public long LastArrival { get; set; }

    public int Forks { get; set; }

    /// <summary>A sequence comes in; <see cref="Join"/> adds it.</summary>
    public void Add(ulong sequence) => _added.Add(sequence);

    /// <summary>A report with these times came in.</summary>
    public void See(long time, long arrived)
    {
        Oldest = Math.Min(Oldest, time);
        Newest = Math.Max(Newest, time);
        LastArrival = Math.Max(LastArrival, arrived);
        IsChanged = true;
    }

    /// <summary>The times of its reports moved.</summary>
    public void Retime(long oldest, long newest)
    {
        (Oldest, Newest, IsChanged) = (oldest, newest, true);
    }

    /// <summary>Takes in what was added.</summary>
    public void Join()
    {
        if (_added.Count == 0)
        {
            return;
        }

        _added.Sort();
        var runs = new List<SequenceRange>();
        (ulong first, ulong last) = (_added[0], _added[0]);
        foreach (ulong sequence in _added.Skip(1))
        {
            if (sequence != last + 1)
            {
                runs.Add(new SequenceRange(first, last));
                first = sequence;
            }

            last = sequence;
        }

        runs.Add(new SequenceRange(first, last));
        Ranges = SequenceRanges.FromUnordered(Ranges.Concat(runs));
        _added.Clear();
    }
}
