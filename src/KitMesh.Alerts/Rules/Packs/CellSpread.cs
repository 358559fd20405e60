using KitMesh.Alerts.Inputs;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Results;
using KitMesh.Models.Battery;

namespace KitMesh.Alerts.Rules.Packs;

/// <summary>The highest and the lowest cell group of a pack differ by too much.</summary>
/// <remarks>Fires above 100 mV, clears under 70 mV. Common practice, no published source.</remarks>
public sealed class CellSpread : PackRule
{
    private static readonly Volts FireAbove = new(0.100);
    private static readonly Volts ClearUnder = new(0.070);

    /// <inheritdoc/>
    public override string Name => "cell-spread";

    /// <inheritdoc/>
    public override AlertWeight Weight => AlertWeight.Act;

    /// <inheritdoc/>
    public override string Summary => "The cell groups of a pack are more than 100 mV apart.";

    /// <inheritdoc/>
    protected override Finding? Judge(PackCondition pack, ChargeLimits limits, AlertInputs inputs, bool stands)
    {
        if (pack.Reading is not { LowestCell: { IsFinite: true } lowest, HighestCell: { IsFinite: true } highest })
        {
            return null;
        }

        Volts spread = highest - lowest;
        if (spread <= (stands ? ClearUnder : FireAbove))
        {
            return Finding.Clear(pack.Reading.Pack, $"The cell groups are {spread} apart.");
        }

        return new Finding(
            pack.Reading.Pack,
            Fires: true,
            $"The cell groups are {spread} apart, from {lowest} to {highest}: one is weaker, leaks, or the balancer does not work. The pack's volts no longer tell about its cells.",
            $"Charge it slowly and watched, and do not join it to others. If the spread grows or a group is warm, take the pack out of use. {WhoDecides}");
    }
}
