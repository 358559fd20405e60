using System.Globalization;
using KitMesh.Domain.Quantities;

namespace KitMesh.Domain.Results;

/// <summary>Chances as odds that a person grasps, rounded to two figures.</summary>
public static class Odds
{
    /// <summary>The best estimate and its range, such as "1 in 800 (1 in 300 to 1 in 2,000)".</summary>
    /// <param name="chance">The chance.</param>
    public static string InWords(ChanceRange chance) =>
        $"{InWords(chance.Best)} ({InWords(chance.High)} to {InWords(chance.Low)})";

    /// <summary>One chance, such as "1 in 800", "9 in 10" or "none".</summary>
    /// <param name="chance">The chance.</param>
    public static string InWords(Probability chance)
    {
        double p = chance.Value;
        return p switch
        {
            0 => "none",
            < 1e-9 => "under 1 in a billion",
            >= 0.95 => "all but certain",
            >= 0.15 => string.Create(CultureInfo.InvariantCulture, $"{Math.Round(p * 10):0} in 10"),
            _ => string.Create(CultureInfo.InvariantCulture, $"1 in {TwoFigures(1 / p):#,0}"),
        };
    }

    private static double TwoFigures(double value)
    {
        double scale = Math.Pow(10, Math.Max(0, Math.Floor(Math.Log10(value)) - 1));
        return Math.Round(value / scale) * scale;
    }
}
