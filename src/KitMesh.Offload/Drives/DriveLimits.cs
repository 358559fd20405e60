using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;

namespace KitMesh.Offload.Drives;

// The problem: heads of spinning drives fly on air that is thin up high, oil thickens in the cold, and water settles on
// whatever comes from the cold into a tent; a drive started then may be the one that held the only copy. The method: judge
// by the maker's limits where they were told, by the dew point where two thermometers are there, and say what to do.
// Source of typical limits: makers' sheets of portable spinning drives, 0 to 5 °C and about 3,050 m (common practice, no source).

/// <summary>Whether a drive may be started where it lies.</summary>
/// <param name="MaxAltitude">Highest place where it may run; null for no limit.</param>
/// <param name="MinTemperature">Least temperature at which it may run; null for no limit.</param>
public sealed record DriveLimits(Metres? MaxAltitude, Celsius? MinTemperature)
{
    /// <summary>What is taken for a drive that says it spins and whose sheet nobody typed in.</summary>
    public static readonly DriveLimits Spinning = new(new Metres(3050), new Celsius(5));

    /// <summary>Why a drive may not be started now, and what to do.</summary>
    /// <param name="drive">The drive.</param>
    /// <param name="around">Where it lies.</param>
    /// <param name="own">The drive's own temperature; null when not told.</param>
    /// <returns>Words for a person; null when it may.</returns>
    public string? WhyNotNow(KitId drive, DriveSurroundings around, Celsius? own)
    {
        if (MaxAltitude is { } highest && around.Altitude is { } altitude && altitude.Value > highest.Value)
        {
            return $"Drive {drive} may run up to {highest.Text} by its maker's sheet and the station stands at {altitude.Text}: it is not started. Take it lower, or use a drive without moving parts.";
        }

        if (around.Air is not { } air)
        {
            return null;
        }

        if (MinTemperature is { } least && air.Value < least.Value)
        {
            return $"It is {air} beside drive {drive}, and it may run from {least} on by its maker's sheet: it is not started. Warm it slowly in a closed bag, so that no water settles in it, and wait until it is dry.";
        }

        if (own is { } cold && Condensation.Forms(cold, air, around.HumidityPercent))
        {
            Celsius dew = Condensation.DewPoint(air, around.HumidityPercent);
            return $"Drive {drive} is at {cold} in air of {air}: below about {dew} water settles on it and in it, so it is not started. Leave it in its closed bag until it is as warm as the tent.";
        }

        return null;
    }
}
