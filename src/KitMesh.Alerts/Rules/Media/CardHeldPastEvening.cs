using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using KitMesh.Domain.Time;

namespace KitMesh.Alerts.Rules.Media;

/// <summary>A card is still on hold after the evening by which it should have been released.</summary>
public sealed class CardHeldPastEvening : IAlertRule
{
    /// <inheritdoc/>
    public string Name => "card-held-past-evening";

    /// <inheritdoc/>
    public AlertWeight Weight => AlertWeight.Act;

    /// <inheritdoc/>
    public string Summary => "A card is on hold past the evening of its day.";

    /// <inheritdoc/>
    public bool ClearsUnmentioned => true;

    /// <inheritdoc/>
    public IEnumerable<Finding> Judge(AlertInputs inputs, Func<KitId, bool> stands)
    {
        ArgumentNullException.ThrowIfNull(inputs);
        return inputs.HeldCards
            .Where(c => !c.Formatted && inputs.Now > c.Due)
            .Select(c => new Finding(
                c.Card,
                Fires: true,
                $"On hold since {CrewTime.ShowWithZone(c.Since, inputs.Zone)}; it should have been released by {CrewTime.ShowWithZone(c.Due, inputs.Zone)}. Missing: {c.Missing}",
                "Do not format it. Finish the copies, or use another card tomorrow.")
            {
                Since = c.Due,
            });
    }
}
