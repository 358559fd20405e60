using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;

namespace KitMesh.Alerts.Rules.Packs;

/// <summary>Whether, and how strongly, a reading says that charge flows into a pack.</summary>
internal static class ChargeFlow
{
    // Own choice, no source: sensors of this size of bank show some hundredths of an ampere at rest.
    private const double LeastAmperes = 0.05;
    private const double LeastRate = 0.002;

    /// <summary>The charge current: measured, or power over voltage. Null when neither is known.</summary>
    public static Amperes? Of(BatteryReading reading) =>
        reading.Amperes is { IsFinite: true } amperes ? amperes
        : reading is { Watts: { IsFinite: true } watts, Volts: { IsFinite: true, Value: > 0 } volts } ? new Amperes(watts.Value / volts.Value)
        : null;

    /// <summary>The current above which a pack counts as charging; half of it ends the charging.</summary>
    public static Amperes Threshold(AmpereHours capacity, bool stands)
    {
        double amperes = Math.Max(LeastAmperes, LeastRate * capacity.Value);
        return new Amperes(stands ? amperes / 2 : amperes);
    }
}
