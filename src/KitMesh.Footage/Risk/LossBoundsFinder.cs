using KitMesh.Domain;

namespace KitMesh.Footage.Risk;

/// <summary>
/// The chance that anything at all is lost: exact where it can be counted, bounded where it cannot.
/// </summary>
/// <remarks>
/// <para>Drives fall into groups that share neither a shock nor a clip nor a card; groups are independent, and the chance
/// that nothing is lost is the product over them.</para>
/// <para>In a group of up to 20 drives every set A of dead drives is counted (<see cref="DeathLattice"/>):
/// P = Σ P(A) · P(loss | A). Given A, a clip with living copies is lost when each of them cannot be read, so n clips with
/// the same copies survive with (1 - ∏ e)^n; a card that lives saves all that it holds.</para>
/// <para>In a larger group, each set of clips is exact by itself, and so is each pair; then
/// max(max p_i, Σ p_i - Σ p_ij) ≤ P ≤ min(1, Σ p_i - Σ over a heaviest spanning tree of p_ij). Lower: C. E. Bonferroni,
/// 1936. Upper: D. Hunter, "An upper bound for the probability of a union", J. Appl. Prob. 13 (1976), 597 to 603.</para>
/// </remarks>
/// <param name="model">Drives, cards and shocks.</param>
/// <param name="mostCounted">Drives up to which a group is counted; tests lower it to compare both ways.</param>
/// <param name="pairsUp">Whether larger groups are bounded by their pairs; without, the upper bound is Boole's sum, which costs
/// a hundredth and is close where losses are rare.</param>
internal sealed class LossBoundsFinder(LossModel model, int mostCounted = DeathLattice.MaxDrives, bool pairsUp = true)
{
    private const int MaxPaired = 150;
    private const double Negligible = 1e-23;

    private bool _pairsAreComplete;

    public LossBounds AnyLost(IReadOnlyList<HeldSet> sets)
    {
        double lowerLog = 0;
        double upperLog = 0;
        foreach (List<HeldSet> group in IndependentGroups(sets))
        {
            LossBounds bounds = DrivesOf(group).Count <= mostCounted ? LossBounds.Exactly(Counted(group)) : Bounded(group);
            lowerLog += FailureChance.Log1p(-bounds.Lower);
            upperLog += FailureChance.Log1p(-bounds.Upper);
        }

        return new LossBounds(-FailureChance.Expm1(lowerLog), -FailureChance.Expm1(upperLog));
    }

    private static List<int> DrivesOf(IEnumerable<HeldSet> sets) => [.. sets.SelectMany(set => set.Drives).Distinct().Order()];

    /// <summary>Exact, by counting every set of dead drives.</summary>
    private double Counted(IReadOnlyList<HeldSet> sets)
    {
        List<int> drives = DrivesOf(sets);
        var local = new int[model.Drives.Count];
        Array.Fill(local, -1);
        for (int i = 0; i < drives.Count; i++)
        {
            local[drives[i]] = i;
        }

        var lattice = new DeathLattice(
            [.. drives.Select(drive => model.Drives[drive])],
            model.Shocks.Select(shock => (Mask(shock.Drives, local), shock.Chance)));
        var survival = new SetSurvival(model, sets, local);
        double sum = 0;
        double carry = 0;
        ReadOnlySpan<double> chance = lattice.Chance;
        for (int dead = 0; dead < chance.Length; dead++)
        {
            // Sets of deaths so unlikely that all of them together, 2^20 at most, stay under the last digit of what is summed.
            if (chance[dead] <= sum * Negligible)
            {
                continue;
            }

            double y = (chance[dead] * survival.AnyLost((uint)dead)) - carry;
            double t = sum + y;
            carry = t - sum - y;
            sum = t;
        }

        return Math.Clamp(sum, 0, 1);
    }

    private LossBounds Bounded(List<HeldSet> group)
    {
        // Sets on one card are one event, so that a pair never splits a card.
        List<List<HeldSet>> events = [.. group
            .GroupBy(set => set.Card < 0 ? (set.Card, string.Join(',', set.Drives)) : (set.Card, ""))
            .Select(same => same.ToList())];
        double[] single = [.. events.Select(sets => DrivesOf(sets).Count <= mostCounted ? Counted(sets) : UnionBound(sets))];
        bool allExact = events.TrueForAll(sets => DrivesOf(sets).Count <= mostCounted);
        double total = single.Sum();
        if (!pairsUp || !allExact || events.Count > MaxPaired)
        {
            double least = events.Where(sets => DrivesOf(sets).Count <= mostCounted).Select(Counted).DefaultIfEmpty(0).Max();
            return new LossBounds(least, Math.Min(1, total));
        }

        double[,] pairs = Pairs(events, single);
        double allPairs = 0;
        foreach (double pair in pairs)
        {
            allPairs += pair / 2;
        }

        // With pairs that can't be counted left at 0, the tree bound stays valid and the Bonferroni sum does not.
        double lower = _pairsAreComplete ? Math.Max(single.Max(), total - allPairs) : single.Max();
        return new LossBounds(Math.Clamp(lower, 0, 1), Math.Clamp(total - HeaviestTree(pairs), lower, 1));
    }

    private double UnionBound(IEnumerable<HeldSet> sets) => Math.Min(1, sets.Sum(set => set.Clips * model.ClipLost(set)));

    private double[,] Pairs(List<List<HeldSet>> events, double[] single)
    {
        _pairsAreComplete = true;
        var pairs = new double[events.Count, events.Count];
        for (int i = 0; i < events.Count; i++)
        {
            for (int j = 0; j < i; j++)
            {
                List<HeldSet> both = [.. events[i], .. events[j]];
                if (DrivesOf(both).Count > mostCounted)
                {
                    _pairsAreComplete = false;
                    continue;
                }

                // P(i and j) = P(i) + P(j) - P(i or j); clipped, since a difference of near equals may fall below zero.
                pairs[i, j] = pairs[j, i] = Math.Max(0, single[i] + single[j] - Counted(both));
            }
        }

        return pairs;
    }

    private static double HeaviestTree(double[,] pairs)
    {
        int count = pairs.GetLength(0);
        var reach = new double[count];
        var inTree = new bool[count];
        Array.Fill(reach, -1);
        reach[0] = 0;
        double weight = 0;
        for (int step = 0; step < count; step++)
        {
            int next = -1;
            for (int i = 0; i < count; i++)
            {
                next = !inTree[i] && (next < 0 || reach[i] > reach[next]) ? i : next;
            }

            inTree[next] = true;
            weight += Math.Max(0, reach[next]);
            for (int i = 0; i < count; i++)
            {
                reach[i] = Math.Max(reach[i], pairs[next, i]);
            }
        }

        return weight;
    }

    private List<List<HeldSet>> IndependentGroups(IReadOnlyList<HeldSet> sets)
    {
        // Drives come first in the union-find, then cards.
        var parent = new int[model.Drives.Count + model.Cards.Count];
        for (int i = 0; i < parent.Length; i++)
        {
            parent[i] = i;
        }

        foreach (Shock shock in model.Shocks.Where(shock => shock.Chance > 0))
        {
            Join(parent, shock.Drives);
        }

        foreach (HeldSet set in sets)
        {
            Join(parent, set.Card < 0 ? set.Drives : [.. set.Drives, model.Drives.Count + set.Card]);
        }

        // Clips that nothing holds are lost for certain, each for itself.
        return [.. sets
            .GroupBy(set => set.Drives.Count > 0 ? Root(parent, set.Drives[0]) : set.Card >= 0 ? Root(parent, model.Drives.Count + set.Card) : -1)
            .OrderBy(group => group.Key)
            .Select(group => group.ToList())];
    }

    private static void Join(int[] parent, IReadOnlyList<int> members)
    {
        for (int i = 1; i < members.Count; i++)
        {
            parent[Root(parent, members[i])] = Root(parent, members[0]);
        }
    }

    private static int Root(int[] parent, int at)
    {
        while (parent[at] != at)
        {
            at = parent[at] = parent[parent[at]];
        }

        return at;
    }

    private static uint Mask(ValueList<int> drives, int[] local)
    {
        uint mask = 0;
        foreach (int drive in drives)
        {
            mask |= local[drive] >= 0 ? 1u << local[drive] : 0;
        }

        return mask;
    }
}
