using KitMesh.Domain.Quantities;

namespace KitMesh.Domain.Digest;

// The two ladders of docs/digest-line.md. A best estimate goes to the nearest rung; the low end of a range goes down and the high end up, so that a
// range never becomes narrower than it was. Own choice of rungs: close together where decisions change.

/// <summary>Chances and spans of time in five bits.</summary>
internal static class LineLadders
{
    internal const int Bits = 5;

    private const int NotKnown = 31;

    internal static readonly double[] Chances =
    [
        0, 0.0001, 0.0002, 0.0005, 0.001, 0.002, 0.005, 0.01, 0.02, 0.03, 0.04, 0.05, 0.07, 0.1, 0.13, 0.16,
        0.2, 0.25, 0.3, 0.35, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 0.95, 0.98, 0.99, 0.999, 1,
    ];

    internal static readonly int[] Hours =
    [
        0, 1, 2, 3, 4, 6, 8, 10, 12, 15, 18, 21, 24, 30, 36, 42,
        48, 60, 72, 84, 96, 120, 144, 168, 192, 216, 240, 288, 336, 504, 672, 1008,
    ];

    internal static int Nearest(Probability? chance)
    {
        if (chance is not { } known)
        {
            return NotKnown;
        }

        int up = Up(known);
        return up > 0 && known.Value - Chances[up - 1] < Chances[up] - known.Value ? up - 1 : up;
    }

    internal static int Down(Probability? chance) =>
        chance is not { } known ? NotKnown : Chances[Up(known)] > known.Value ? Up(known) - 1 : Up(known);

    internal static int Up(Probability? chance)
    {
        if (chance is not { } known)
        {
            return NotKnown;
        }

        int rung = 0;
        while (Chances[rung] < known.Value)
        {
            rung++;
        }

        return rung;
    }

    internal static Probability? Chance(int rung) => rung == NotKnown ? null : new Probability(Chances[rung]);

    internal static int OfHours(int hours)
    {
        int rung = Array.FindLastIndex(Hours, least => least <= hours);
        return Math.Max(0, rung);
    }
}
