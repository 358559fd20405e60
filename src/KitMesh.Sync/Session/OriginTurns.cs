using KitMesh.Domain.Reports;

namespace KitMesh.Sync.Session;

/// <summary>Origins that wait for their turn, each once.</summary>
internal sealed class OriginTurns
{
    private readonly Queue<OriginId> _turns = new();
    private readonly HashSet<OriginId> _queued = [];

    /// <summary>How many wait.</summary>
    public int Count => _turns.Count;

    /// <summary>Whose turn it is.</summary>
    public OriginId Now => _turns.Peek();

    /// <summary>An origin waits, unless it does already.</summary>
    public void Add(OriginId origin)
    {
        if (_queued.Add(origin))
        {
            _turns.Enqueue(origin);
        }
    }

    /// <summary>The next one's turn; this one comes again.</summary>
    public void Pass() => _turns.Enqueue(_turns.Dequeue());

    /// <summary>This one has nothing more.</summary>
    public void End() => _queued.Remove(_turns.Dequeue());
}
