using KitMesh.Alerts.Inputs;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;

namespace KitMesh.Alerts.Rules.Media;

/// <summary>Something about the clips of a card is odd: a missing chapter, one name with two contents.</summary>
public sealed class ClipOdd : IAlertRule
{
    private const int MostNamed = 5;

    /// <inheritdoc/>
    public string Name => "clip-odd";

    /// <inheritdoc/>
    public AlertWeight Weight => AlertWeight.Know;

    /// <inheritdoc/>
    public string Summary => "Clips of a card are odd: a missing chapter, one name with two contents.";

    /// <inheritdoc/>
    public bool ClearsUnmentioned => true;

    /// <inheritdoc/>
    public IEnumerable<Finding> Judge(AlertInputs inputs, Func<KitId, bool> stands)
    {
        ArgumentNullException.ThrowIfNull(inputs);
        return inputs.Clips
            .GroupBy(c => c.Subject)
            .Select(g => new Finding(
                g.Key,
                Fires: true,
                string.Join("; ", g.OrderBy(c => c.At).ThenBy(c => c.What, StringComparer.Ordinal).Take(MostNamed).Select(c => c.What))
                    + (g.Count() > MostNamed ? $"; and {g.Count() - MostNamed} more" : "") + ".",
                "Play the clips before the card is formatted; look whether a file was left on the card or in the camera.")
            {
                Since = g.Min(c => c.At),
            });
    }
}
