using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;

namespace KitMesh.Alerts.Rules.Media;

/// <summary>A card was formatted although its clips did not meet the copy rule, or no longer do.</summary>
public sealed class CardFormattedOnHold : IAlertRule
{
    /// <inheritdoc/>
    public string Name => "card-formatted-on-hold";

    /// <inheritdoc/>
    public AlertWeight Weight => AlertWeight.Act;

    /// <inheritdoc/>
    public string Summary => "A card was formatted and its clips do not meet the copy rule.";

    /// <inheritdoc/>
    public bool ClearsUnmentioned => true;

    /// <inheritdoc/>
    public IEnumerable<Finding> Judge(AlertInputs inputs, Func<KitId, bool> stands)
    {
        ArgumentNullException.ThrowIfNull(inputs);
        return inputs.HeldCards
            .Where(c => c.Formatted)
            .Select(c => new Finding(
                c.Card,
                Fires: true,
                $"The card was formatted and its clips do not meet the copy rule. {c.Missing}",
                "Do not record on it any more: deleted clips can often still be recovered from a card that was not written again. Make the missing copies from what is left.")
            {
                Since = c.Due,
            });
    }
}
