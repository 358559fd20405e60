using KitMesh.Alerts.Inputs;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Results;
using KitMesh.Models.Battery;

namespace KitMesh.Alerts.Rules.Packs;

/// <summary>Pack volts above series count × highest cell voltage, or one cell above it: a charger set for other cells.</summary>
/// <remarks>A charger set for lead-acid on a lithium pack does this. Fires 0.2 % above the limit (a meter's error), clears 0.5 % under it; own choices.</remarks>
public sealed class PackVoltsHigh : PackRule
{
    private const double FireAbove = 1.002;
    private const double ClearUnder = 0.995;
    private static readonly Celsius WithoutProbe = new(25);

    /// <inheritdoc/>
    public override string Name => "pack-volts-high";

    /// <inheritdoc/>
    public override AlertWeight Weight => AlertWeight.Danger;

    /// <inheritdoc/>
    public override string Summary => "Pack volts above series count times the highest cell voltage: fire risk.";

    /// <inheritdoc/>
    protected override Finding? Judge(PackCondition pack, ChargeLimits limits, AlertInputs inputs, bool stands)
    {
        Celsius temperature = pack.Reading.ColdestProbe ?? WithoutProbe;
        if (limits.MaxPackVolts(pack.Declared.Series, temperature) is not { } most)
        {
            return null;
        }

        Volts mostOfCell = most / pack.Declared.Series;
        bool packKnown = pack.Reading.Volts is { IsFinite: true };
        bool cellKnown = pack.Reading.HighestCell is { IsFinite: true };
        if (!packKnown && !cellKnown)
        {
            return null;
        }

        double factor = stands ? ClearUnder : FireAbove;
        bool packHigh = packKnown && pack.Reading.Volts!.Value > most * factor;
        bool cellHigh = cellKnown && pack.Reading.HighestCell!.Value > mostOfCell * factor;
        string seen = packHigh || !cellHigh
            ? $"{pack.Reading.Volts} on the pack; {pack.Declared.Series} cells in series may have {most} at most"
            : $"{pack.Reading.HighestCell} on the highest cell; it may have {mostOfCell} at most";
        if (!packHigh && !cellHigh)
        {
            return Finding.Clear(pack.Reading.Pack, seen + ".");
        }

        bool lithium = IsLithium(pack.Declared.Chemistry);
        return new Finding(
            pack.Reading.Pack,
            Fires: true,
            $"{seen} ({limits.Source}).{(lithium ? " FIRE RISK: overcharged lithium cells can burn. A charger set for lead-acid on a lithium pack does this." : " The cells gas and dry out.")}",
            lithium
                ? $"Disconnect the charger or the panels now, from the panel side first. Keep people away and the pack in the open, away from tents and other packs; do not use or charge it again until somebody qualified has checked cells, protection and the charger's setting. {WhoDecides}"
                : $"Check the charger's setting for this battery; keep flames away, it gives off explosive gas. {WhoDecides}");
    }
}
