using KitMesh.Domain.Reports;

namespace KitMesh.Simulation.Checkers;

/// <summary>What was promised: reports that a reader was told are safe, and what hubs told agents is safe with them.</summary>
internal sealed class PromiseLedger
{
    private readonly Dictionary<(ReportKey Key, Sha256Hash Content), bool> _written = [];
    private readonly Dictionary<OriginId, ulong> _relied = [];
    private readonly HashSet<OriginId> _restored = [];
    private readonly HashSet<(ReportKey Key, Sha256Hash Content)> _secondLife = [];

    internal int Written => _written.Count;

    internal IEnumerable<(ReportKey Key, Sha256Hash Content)> Promised => _written.Where(report => report.Value).Select(report => report.Key);

    /// <summary>A report was encoded; it may come to exist.</summary>
    internal void Wrote(ReportKey key, Sha256Hash content)
    {
        if (_written.TryAdd((key, content), false) && _restored.Contains(key.Origin))
        {
            _secondLife.Add((key, content));
        }
    }

    /// <summary>Its writer was told that it is durable.</summary>
    internal void Durable(ReportKey key, Sha256Hash content) => _written[(key, content)] = true;

    internal bool WasWritten(ReportKey key, Sha256Hash content) => _written.ContainsKey((key, content));

    /// <summary>An agent was told that a hub holds its reports up to a sequence.</summary>
    internal void Relied(OriginId origin, ulong upTo) => _relied[origin] = Math.Max(_relied.GetValueOrDefault(origin), upTo);

    /// <summary>A disk is gone for good: only what a hub vouched for is still promised.</summary>
    internal void DiskGone(NodeId node) => Forgive(report =>
        report.Key.Origin.Node == node && (report.Key.Sequence > _relied.GetValueOrDefault(report.Key.Origin) || _secondLife.Contains(report)));

    /// <summary>
    /// A disk is back at an old image. What it writes in its old epoch before it meets a hub stands beside what it wrote
    /// first; that a hub holds a sequence then says nothing about which of the two.
    /// </summary>
    internal void DiskRestored(NodeId node)
    {
        DiskGone(node);
        _restored.UnionWith(_written.Keys.Select(report => report.Key.Origin).Where(origin => origin.Node == node));
    }

    /// <summary>A bit turned on a node's disk: its own reports may have been nowhere else.</summary>
    internal void OwnDamaged(NodeId node) => Forgive(report => report.Key.Origin.Node == node);

    private void Forgive(Func<(ReportKey Key, Sha256Hash Content), bool> isForgiven)
    {
        foreach ((ReportKey Key, Sha256Hash Content) report in _written.Keys.Where(isForgiven).ToArray())
        {
            _written[report] = false;
        }
    }
}
