using System.Collections.Concurrent;
using KitMesh.Domain.Reports;

namespace KitMesh.Hub.Enrolment;

/// <summary>The calls that run now, so that those of a node that was revoked end at once.</summary>
internal sealed class LiveCalls : IDisposable
{
    private readonly ConcurrentDictionary<long, (Caller Caller, Action Abort)> _calls = new();
    private readonly RightsBook _rights;
    private long _last;

    public LiveCalls(RightsBook rights)
    {
        _rights = rights;
        rights.Changed += CutRevoked;
    }

    /// <summary>Notes a call until the answer is disposed.</summary>
    public IDisposable Add(Caller caller, Action abort)
    {
        long id = Interlocked.Increment(ref _last);
        _calls[id] = (caller, abort);
        return new Entry(this, id);
    }

    /// <inheritdoc/>
    public void Dispose() => _rights.Changed -= CutRevoked;

    private void CutRevoked()
    {
        foreach ((Caller caller, Action abort) in _calls.Values)
        {
            if (IsOut(caller.Node) || (caller.Issuer is { } issuer && IsOut(issuer)))
            {
                abort();
            }
        }
    }

    private bool IsOut(NodeId node) => _rights.Revoked.ContainsKey(node);

    private sealed class Entry(LiveCalls calls, long id) : IDisposable
    {
        public void Dispose() => calls._calls.TryRemove(id, out _);
    }
}
