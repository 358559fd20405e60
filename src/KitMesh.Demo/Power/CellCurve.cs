using KitMesh.Domain.Kit;

namespace KitMesh.Demo.Power;

/// <summary>The demo's cells: rest volts over charge, and resistance in the cold. Rounded textbook shapes, not a maker's data.</summary>
internal static class CellCurve
{
    private static readonly double[] Lfp = [2.80, 3.20, 3.25, 3.27, 3.29, 3.30, 3.31, 3.33, 3.34, 3.35, 3.45];
    private static readonly double[] Nmc = [3.10, 3.45, 3.56, 3.62, 3.67, 3.73, 3.82, 3.92, 4.00, 4.08, 4.18];

    public static double RestVolts(Chemistry chemistry, double charge)
    {
        double[] curve = chemistry == Chemistry.Lfp ? Lfp : Nmc;
        double at = Math.Clamp(charge, 0, 1) * (curve.Length - 1);
        int low = Math.Min((int)at, curve.Length - 2);
        return curve[low] + ((curve[low + 1] - curve[low]) * (at - low));
    }

    public static double NominalVolts(Chemistry chemistry) => chemistry == Chemistry.Lfp ? 3.2 : 3.65;

    /// <summary>Resistance against that at 25 °C: about doubled at 0 °C and sixfold at -20 °C.</summary>
    public static double ColdFactor(double celsius) => Math.Exp(2800 * ((1 / (celsius + 273.15)) - (1 / 298.15)));
}
