using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;

namespace KitMesh.Alerts.Rules.Mesh;

/// <summary>An origin wrote two different reports under one number: its disk was restored or copied.</summary>
public sealed class OriginForked : IAlertRule
{
    /// <inheritdoc/>
    public string Name => "origin-forked";

    /// <inheritdoc/>
    public AlertWeight Weight => AlertWeight.Act;

    /// <inheritdoc/>
    public string Summary => "One device wrote two histories: its disk was restored or copied.";

    /// <inheritdoc/>
    public bool ClearsUnmentioned => false;

    /// <inheritdoc/>
    public IEnumerable<Finding> Judge(AlertInputs inputs, Func<KitId, bool> stands)
    {
        ArgumentNullException.ThrowIfNull(inputs);
        return inputs.Forks
            .GroupBy(f => f.Origin.Node)
            .Select(g => new Finding(
                KitId.Parse(g.Key.Value),
                Fires: true,
                $"{g.Sum(f => f.Reports)} reports of {g.Key} exist in two versions, from number {g.Min(f => f.FirstSequence)} on: its disk was restored or copied, or two devices use one name. Both versions are kept.",
                "Find out which device is the real one and give the other a name of its own. Do not format cards on the word of these reports before that."));
    }
}
