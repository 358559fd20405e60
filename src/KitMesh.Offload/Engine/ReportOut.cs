using KitMesh.Domain.Reports;

namespace KitMesh.Offload.Engine;

/// <summary>Hands facts to whoever listens, one at a time, from whatever thread found them.</summary>
/// <param name="listener">Takes the facts.</param>
internal sealed class ReportOut(Action<ReportBody> listener)
{
    private readonly Lock _lock = new();

    /// <summary>Tells a fact.</summary>
    /// <param name="body">The fact.</param>
    public void Tell(ReportBody body)
    {
        lock (_lock)
        {
            listener(body);
        }
    }
}
