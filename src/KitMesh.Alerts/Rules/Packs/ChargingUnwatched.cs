using KitMesh.Alerts.Inputs;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Results;
using KitMesh.Models.Battery;
using NodaTime;

namespace KitMesh.Alerts.Rules.Packs;

/// <summary>Charge flows into a pack that no thermometer watches, or whose thermometer has stuck.</summary>
/// <remarks>
/// Without a probe for as long as a value counts as fresh (30 min), by the time of the pack's own readings: a link that
/// brings them late silences no thermometer. Or with probes that said exactly the same for 6 h over
/// 12 readings or more: a living sensor flickers by a digit. Own choices, no published source.
/// </remarks>
public sealed class ChargingUnwatched : PackRule
{
    private static readonly Duration StuckAfter = Duration.FromHours(6);

    /// <inheritdoc/>
    public override string Name => "charging-unwatched";

    /// <inheritdoc/>
    public override AlertWeight Weight => AlertWeight.Act;

    /// <inheritdoc/>
    public override string Summary => "Charge flows and no thermometer on the cells can be believed.";

    /// <inheritdoc/>
    protected override Finding? Judge(PackCondition pack, ChargeLimits limits, AlertInputs inputs, bool stands)
    {
        if (ChargeFlow.Of(pack.Reading) is not { } current)
        {
            return null;
        }

        bool charging = current > ChargeFlow.Threshold(pack.Declared.Capacity, stands);
        string? why = !charging ? null
            : pack.WithoutProbeSince is { } lost && pack.At - lost > PackPicture.Fresh ? $"no thermometer has answered for {(pack.At - lost).TotalMinutes:0} min"
            : pack.ProbesUnchangedSince is { } same && inputs.Now - same > StuckAfter ? $"its thermometers have said exactly {pack.Reading.ColdestProbe} for {(inputs.Now - same).TotalHours:0} h"
            : null;
        return why is null
            ? Finding.Clear(pack.Reading.Pack, charging ? "Its thermometers answer." : $"No charge flows ({current}).")
            : new Finding(
                pack.Reading.Pack,
                Fires: true,
                $"{current} flow into the pack and {why}: nobody can say whether it is warm enough.",
                $"Measure the pack's temperature by hand. Stop charging if you cannot, or if it is under {limits.Lower}. {WhoDecides}");
    }
}
