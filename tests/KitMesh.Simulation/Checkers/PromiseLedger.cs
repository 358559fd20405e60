using KitMesh.Domain.Reports;

namespace KitMesh.Simulation.Checkers;

/// <summary>What was promised: reports that a reader was told are safe, and what hubs told agents is safe with them.</summary>
internal sealed class PromiseLedger
{
    private readonly Dictionary<(ReportKey Key, Sha256Hash Content), bool> _written = [];
    private readonly Dictionary<OriginId, ulong> _relied = [];

    internal int Written => _written.Count;

    internal IEnumerable<(ReportKey Key, Sha256Hash Content)> Promised => _written.Where(report => report.Value).Select(report => report.Key);

    /// <summary>A report was encoded; it may come to exist.</summary>
    internal void Wrote(ReportKey key, Sha256Hash content) => _written.TryAdd((key, content), false);

    /// <summary>Its writer was told that it is durable.</summary>
    internal void Durable(ReportKey key, Sha256Hash content) => _written[(key, content)] = true;

    internal bool WasWritten(ReportKey key, Sha256Hash content) => _written.ContainsKey((key, content));

    /// <summary>An agent was told that a hub holds its reports up to a sequence.</summary>
    internal void Relied(OriginId origin, ulong upTo) => _relied[origin] = Math.Max(_relied.GetValueOrDefault(origin), upTo);

    /// <summary>A disk is gone for good: only what a hub vouched for is still promised.</summary>
    internal void DiskGone(NodeId node) => Forgive(key => key.Origin.Node == node && key.Sequence > _relied.GetValueOrDefault(key.Origin));

    /// <summary>A bit turned on a node's disk: its own reports may have been nowhere else.</summary>
    internal void OwnDamaged(NodeId node) => Forgive(key => key.Origin.Node == node);

    private void Forgive(Func<ReportKey, bool> isForgiven)
    {
        foreach ((ReportKey Key, Sha256Hash Content) report in _written.Keys.Where(report => isForgiven(report.Key)).ToArray())
        {
            _written[report] = false;
        }
    }
}
