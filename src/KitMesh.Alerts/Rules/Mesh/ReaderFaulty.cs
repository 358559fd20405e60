using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using KitMesh.Domain.Time;

namespace KitMesh.Alerts.Rules.Mesh;

/// <summary>A device gives no answer or nonsense, as its agent reported.</summary>
public sealed class ReaderFaulty : IAlertRule
{
    /// <inheritdoc/>
    public string Name => "reader-faulty";

    /// <inheritdoc/>
    public AlertWeight Weight => AlertWeight.Act;

    /// <inheritdoc/>
    public string Summary => "A device gives its agent no answer, or nonsense.";

    /// <inheritdoc/>
    public bool ClearsUnmentioned => true;

    /// <inheritdoc/>
    public IEnumerable<Finding> Judge(AlertInputs inputs, Func<KitId, bool> stands)
    {
        ArgumentNullException.ThrowIfNull(inputs);
        return inputs.FaultyReaders
            .GroupBy(f => f.Subject ?? KitId.Parse(f.Node.Value))
            .Select(g => new Finding(
                g.Key,
                Fires: true,
                string.Join(" ", g.OrderBy(f => f.At).ThenBy(f => f.Reader, StringComparer.Ordinal).Select(f => $"{f.Node}, {f.Reader}, since {CrewTime.ShowWithZone(f.At, inputs.Zone)}: {f.Message}")),
                "Check cable, power and address of the device. Until it answers, answers about it rest on older readings and widen.")
            {
                Since = g.Min(f => f.At),
            });
    }
}
