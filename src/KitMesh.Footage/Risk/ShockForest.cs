using System.Numerics;

namespace KitMesh.Footage.Risk;

/// <summary>
/// The chance that every drive of one small set is lost.
/// </summary>
/// <remarks>
/// <para>Shocks that nest (drive in case on sled) form a forest, and the chance is a product over it:
/// L(leaf) = q, L(node) = s + (1 - s) · ∏ L(children), the world is the root. Shocks that cut across the nesting (a batch,
/// one fall of two people) are enumerated: for each subset of them that happens, their drives are dead and the forest
/// decides about the rest. Both are exact, and every term is positive, so that small chances keep their digits.</para>
/// <para>Source: conditioning on independent common causes, e.g. NUREG/CR-4780 (1988); the closed form for cases stands in
/// the rows "groups" of loss-probability.csv.</para>
/// </remarks>
internal sealed class ShockForest
{
    /// <summary>Shocks that cut across; each doubles the work.</summary>
    private const int MaxCrossing = 16;

    private readonly double[] _fail;
    private readonly List<(ulong Mask, double Chance)> _nested = [];
    private readonly List<(ulong Mask, double Chance)> _crossing = [];

    /// <param name="fail">The chance that each drive of the set is lost by itself, at most 64.</param>
    /// <param name="shocks">Shocks as bits over the set; bits outside it are already cut off.</param>
    public ShockForest(double[] fail, IEnumerable<(ulong Mask, double Chance)> shocks)
    {
        ArgumentOutOfRangeException.ThrowIfGreaterThan(fail.Length, 64);
        _fail = fail;

        // The widest first, so that parents come before their children; ties by mask keep the sums in one order.
        foreach ((ulong mask, double chance) in Merged(shocks)
            .OrderByDescending(shock => BitOperations.PopCount(shock.Mask))
            .ThenBy(shock => shock.Mask))
        {
            bool nests = _nested.TrueForAll(other => (other.Mask & mask) is 0 || (other.Mask & mask) == mask);
            (nests ? _nested : _crossing).Add((mask, chance));
        }
    }

    /// <summary>Whether few enough shocks cut across each other to enumerate them; else a lattice over the drives is cheaper.</summary>
    public bool CanBeEnumerated => _crossing.Count <= MaxCrossing;

    /// <summary>Shocks that take the same of these drives are one shock: either happens with 1 - ∏(1 - s).</summary>
    public static IEnumerable<(ulong Mask, double Chance)> Merged(IEnumerable<(ulong Mask, double Chance)> shocks) => shocks
        .Where(shock => shock.Mask != 0 && shock.Chance > 0)
        .GroupBy(shock => shock.Mask)
        .OrderBy(same => same.Key)
        .Select(same => (same.Key, same.Select(shock => shock.Chance).Order().Aggregate(FailureChance.Either)));

    public double AllLost()
    {
        double sum = 0;
        double carry = 0;
        for (int subset = 0; subset < 1 << _crossing.Count; subset++)
        {
            double weight = 1;
            ulong dead = 0;
            for (int i = 0; i < _crossing.Count; i++)
            {
                bool happens = (subset >> i & 1) != 0;
                weight *= happens ? _crossing[i].Chance : 1 - _crossing[i].Chance;
                dead |= happens ? _crossing[i].Mask : 0;
            }

            double term = weight * ForestLost(dead);
            double y = term - carry;
            double t = sum + y;
            carry = t - sum - y;
            sum = t;
        }

        return sum;
    }

    private double ForestLost(ulong dead)
    {
        ulong all = _fail.Length == 64 ? ulong.MaxValue : (1UL << _fail.Length) - 1;
        return Lost(all, 0, dead);
    }

    /// <summary>The chance that all of a mask are lost, from the nested shock at or after an index.</summary>
    private double Lost(ulong mask, int from, ulong dead)
    {
        double product = 1;
        ulong left = mask;
        for (int i = from; i < _nested.Count && left != 0; i++)
        {
            (ulong inside, double chance) = _nested[i];
            if ((inside & left) != inside)
            {
                continue;
            }

            product *= chance + ((1 - chance) * Lost(inside, i + 1, dead));
            left &= ~inside;
        }

        while (left != 0)
        {
            int drive = BitOperations.TrailingZeroCount(left);
            product *= (dead >> drive & 1) != 0 ? 1 : _fail[drive];
            left &= left - 1;
        }

        return product;
    }
}
