using KitMesh.Alerts.Inputs;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Results;
using KitMesh.Models.Battery;
using NodaTime;

namespace KitMesh.Alerts.Rules.Packs;

/// <summary>Charging can begin soon and the pack is still too cold for it.</summary>
/// <remarks>
/// Where the next charging time is not known (an agent without a hub) it fires whenever a pack at rest is too cold.
/// "Soon" is 3 h before charging can begin: a box of a bank takes hours to warm. Clears 1 K above the limit.
/// </remarks>
public sealed class PackColdForCharging : PackRule
{
    private static readonly Duration Soon = Duration.FromHours(3);
    private static readonly Kelvins ClearAbove = new(1);

    /// <inheritdoc/>
    public override string Name => "pack-cold-for-charging";

    /// <inheritdoc/>
    public override AlertWeight Weight => AlertWeight.Act;

    /// <inheritdoc/>
    public override string Summary => "Charging can begin within 3 h and the pack is under its charge limit.";

    /// <inheritdoc/>
    protected override Finding? Judge(PackCondition pack, ChargeLimits limits, AlertInputs inputs, bool stands)
    {
        if (pack.Reading.ColdestProbe is not { } coldest)
        {
            return null;
        }

        bool notSoon = pack.NextCharging is { } next && next - inputs.Now > Soon;
        if (notSoon || coldest >= (stands ? limits.Lower + ClearAbove : limits.Lower))
        {
            return Finding.Clear(pack.Reading.Pack, notSoon ? "Charging is not to begin soon." : $"The coldest probe is at {coldest}.");
        }

        string when = pack.NextCharging is { } start ? $"Charging could begin in {Math.Max(0, (start - inputs.Now).TotalMinutes):0} min, but the" : "The";
        string heater = pack.Box is { Heater.Value: > 0 } box ? $"Switch on the heater of {box.Id} ({box.Heater}), or put a bottle of hot water or the sun to it." : "Bring it into a warm place, or put a closed bottle of hot water to it.";
        return new Finding(
            pack.Reading.Pack,
            Fires: true,
            $"{when} coldest probe is at {coldest}; no charge under {limits.Lower} ({limits.Source}).",
            $"{heater} Do not connect panels or charger before every probe is above {limits.Lower + ClearAbove}. Never warm a pack on a stove or flame. {WhoDecides}");
    }
}
