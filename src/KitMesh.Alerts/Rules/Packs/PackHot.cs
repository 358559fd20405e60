using KitMesh.Alerts.Inputs;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Results;
using KitMesh.Models.Battery;

namespace KitMesh.Alerts.Rules.Packs;

/// <summary>The warmest probe is above the upper charge limit, charging or not.</summary>
/// <remarks>Fires above the limit, clears 3 K under it (own choice).</remarks>
public sealed class PackHot : PackRule
{
    private static readonly Kelvins ClearUnder = new(3);

    /// <inheritdoc/>
    public override string Name => "pack-hot";

    /// <inheritdoc/>
    public override AlertWeight Weight => AlertWeight.Danger;

    /// <inheritdoc/>
    public override string Summary => "The warmest probe of a pack is above its upper charge limit.";

    /// <inheritdoc/>
    protected override Finding? Judge(PackCondition pack, ChargeLimits limits, AlertInputs inputs, bool stands)
    {
        if (pack.Reading.WarmestProbe is not { } warmest)
        {
            return null;
        }

        if (warmest <= (stands ? limits.Upper - ClearUnder : limits.Upper))
        {
            return Finding.Clear(pack.Reading.Pack, $"The warmest probe is at {warmest}.");
        }

        return new Finding(
            pack.Reading.Pack,
            Fires: true,
            $"The warmest probe is at {warmest}; above {limits.Upper} the pack must not be charged ({limits.Source}).",
            $"Stop charging and heating, take loads off, let it cool in the open. If it goes on getting warmer by itself, swells, hisses or smells: keep people away, it may burn. {WhoDecides}");
    }
}
