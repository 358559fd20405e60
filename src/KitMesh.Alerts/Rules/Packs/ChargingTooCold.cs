using KitMesh.Alerts.Inputs;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Results;
using KitMesh.Models.Battery;

namespace KitMesh.Alerts.Rules.Packs;

/// <summary>Charge flows while the coldest probe is under the charge limit of the chemistry or the maker.</summary>
/// <remarks>
/// Raised by the first reading that says so: there is no waiting time, since lithium plating does not wait. Clears when
/// the current stops or the coldest probe is a kelvin above the limit. Limits: see <see cref="ChargeLimits"/>.
/// </remarks>
public sealed class ChargingTooCold : PackRule
{
    private static readonly Kelvins ClearAbove = new(1);

    /// <inheritdoc/>
    public override string Name => "charging-too-cold";

    /// <inheritdoc/>
    public override AlertWeight Weight => AlertWeight.Danger;

    /// <inheritdoc/>
    public override string Summary => "Charge flows into a pack whose coldest probe is under its charge limit.";

    /// <inheritdoc/>
    protected override Finding? Judge(PackCondition pack, ChargeLimits limits, AlertInputs inputs, bool stands)
    {
        if (ChargeFlow.Of(pack.Reading) is not { } current)
        {
            return null;
        }

        if (current <= ChargeFlow.Threshold(pack.Declared.Capacity, stands))
        {
            return Finding.Clear(pack.Reading.Pack, $"No charge flows ({current}).");
        }

        if (pack.Reading.ColdestProbe is not { } coldest)
        {
            return null;
        }

        Celsius limit = stands ? limits.Lower + ClearAbove : limits.Lower;
        if (coldest >= limit)
        {
            return Finding.Clear(pack.Reading.Pack, $"The coldest probe is at {coldest}, the limit {limits.Lower}.");
        }

        string harm = IsLithium(pack.Declared.Chemistry) ? "Cells that are charged this cold are ruined and can catch fire later." : "Cells are harmed by this.";
        return new Finding(
            pack.Reading.Pack,
            Fires: true,
            $"{current} flow into the pack while its coldest probe is at {coldest}; no charge under {limits.Lower} ({limits.Source}; 2 K above the published limit, or the maker's). {harm}",
            $"Stop the charging now: disconnect the panels or the charger. Warm the pack past {limits.Lower + ClearAbove}, cores lag behind the probe. Do not charge a swollen, hot or smelling pack again. {WhoDecides}");
    }
}
