using KitMesh.Alerts.Inputs;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Results;
using KitMesh.Models.Battery;

namespace KitMesh.Alerts.Rules.Packs;

/// <summary>More charge current than the temperature zone of the coldest (or warmest) probe allows.</summary>
/// <remarks>
/// "Warm enough" is not full sun into the pack: near the lower limit only a tenth of the capacity an hour is allowed.
/// Without a believable probe the loosest zone is the measure: what passes even that is too much at any temperature.
/// Fires above the limit plus 2 % for the meter (own choice), clears under 95 % of it.
/// </remarks>
public sealed class ChargeCurrentHigh : PackRule
{
    private const double FireAbove = 1.02;
    private const double ClearUnder = 0.95;

    /// <inheritdoc/>
    public override string Name => "charge-current-high";

    /// <inheritdoc/>
    public override AlertWeight Weight => AlertWeight.Danger;

    /// <inheritdoc/>
    public override string Summary => "More charge current than the zone of the coldest probe allows.";

    /// <inheritdoc/>
    protected override Finding? Judge(PackCondition pack, ChargeLimits limits, AlertInputs inputs, bool stands)
    {
        if (ChargeFlow.Of(pack.Reading) is not { } current)
        {
            return null;
        }

        (Amperes most, string zone) = Most(pack, limits);
        if (most.Value <= 0)
        {
            // Outside every zone: "charging-too-cold" and "pack-hot" speak of that.
            return Finding.Clear(pack.Reading.Pack, "The temperature lies outside every charge zone.");
        }

        if (current <= most * (stands ? ClearUnder : FireAbove))
        {
            return Finding.Clear(pack.Reading.Pack, $"{current} flow, {most} are allowed {zone}.");
        }

        return new Finding(
            pack.Reading.Pack,
            Fires: true,
            $"{current} flow into the pack; {zone} it may take {most} ({limits.Source}). Too much current plates lithium and heats cells.",
            $"Lower the charge current to {most} or less: turn panels away, disconnect some of them, or set the charger. Heater pads make hot spots and cores lag, so wait before giving more. {WhoDecides}");
    }

    private static (Amperes Most, string Zone) Most(PackCondition pack, ChargeLimits limits)
    {
        if (pack.Reading is { ColdestProbe: { } coldest, WarmestProbe: { } warmest })
        {
            return (limits.MaxCurrent(coldest, warmest, pack.Declared.Capacity), $"with its coldest probe at {coldest} and its warmest at {warmest}");
        }

        double rate = limits.Zones.Select(z => z.MaxRate).DefaultIfEmpty(0).Max();
        return (new Amperes(rate * pack.Declared.Capacity.Value), "even at its best temperature (no probe answers)");
    }
}
