using CsCheck;
using KitMesh.Domain;
using KitMesh.Footage.Risk;

namespace KitMesh.Tests.Footage.Risk;

/// <summary>Laws of the loss model, and its agreement with brute force and with sampling.</summary>
public sealed class LossModelTests
{
    private static readonly Gen<double> Chance = Gen.Double[0.0001, 0.3];

    /// <summary>A random world: up to 7 drives, shocks of any shape, clip sets with copies, some on a card.</summary>
    private static readonly Gen<(LossModel Model, HeldSet[] Sets)> World =
        from drives in Gen.Int[2, 7]
        from fail in Chance.Array[drives]
        from shocks in Gen.Select(Chance, Gen.Int[0, drives - 1].HashSet[1, drives], (chance, members) => new Shock("s", chance, members.Order().ToValueList())).Array[0, 5]
        from cards in Chance.Array[2]
        from sets in Gen.Select(
            Gen.Int[0, drives - 1].HashSet[1, Math.Min(4, drives)],
            Gen.Double[0, 0.05].Array[4],
            Gen.Int[1, 50],
            Gen.Int[-1, 1],
            (held, errors, clips, card) => new HeldSet(held.Order().ToValueList(), errors[..held.Count].ToValueList(), clips, card)).Array[1, 4]
        select (new LossModel(fail, shocks, cards), sets);

    [Fact]
    public void ClipLost_EqualsTheLattice_ForEveryShapeOfShocks() => World.Sample(world =>
    {
        foreach (HeldSet set in world.Sets)
        {
            HeldSet one = set with { Clips = 1, Card = -1 };
            double byForest = world.Model.ClipLost(one);
            double byLattice = world.Model.AnyLost([one]).Upper;
            Assert.InRange(byForest, byLattice * (1 - 1e-9), byLattice * (1 + 1e-9));
        }
    }, iter: 2000);

    [Fact]
    public void AddingACopy_NeverRaisesRisk() => World.Sample(world =>
    {
        HeldSet set = world.Sets[0];
        int? more = Enumerable.Range(0, world.Model.Drives.Count).Cast<int?>().FirstOrDefault(drive => !set.Drives.Contains(drive!.Value));
        if (more is not { } drive)
        {
            return;
        }

        HeldSet grown = set with { Drives = [.. set.Drives, drive], Errors = [.. set.Errors, 0.01] };
        HeldSet[] after = [grown, .. world.Sets[1..]];

        Assert.True(world.Model.ClipLost(grown) <= world.Model.ClipLost(set) * (1 + 1e-12));
        Assert.True(world.Model.AnyLost(after).Upper <= world.Model.AnyLost(world.Sets).Upper * (1 + 1e-12));
    }, iter: 2000);

    [Fact]
    public void SplittingACase_NeverRaisesTheRiskOfAClip() =>
        Gen.Select(Chance.Array[6], Chance, Gen.Int[1, 5], Chance).Sample((fail, shock, cut, sled) =>
        {
            ValueList<int> all = [0, 1, 2, 3, 4, 5];
            var outer = new Shock("sled", sled, all);
            var set = new HeldSet(all, [0, 0, 0, 0, 0, 0], 1);
            var together = new LossModel(fail, [outer, new Shock("case", shock, all)]);
            var split = new LossModel(
                fail,
                [outer, new Shock("case 1", shock, all.Take(cut).ToValueList()), new Shock("case 2", shock, all.Skip(cut).ToValueList())]);

            Assert.True(split.ClipLost(set) <= together.ClipLost(set) * (1 + 1e-12));
        }, iter: 2000);

    [Fact]
    public void OneCase_IsNeverSaferThanItsShock() =>
        Gen.Select(Chance.Array[1, 8], Chance).Sample((fail, shock) =>
        {
            ValueList<int> all = Enumerable.Range(0, fail.Length).ToValueList();
            var model = new LossModel(fail, [new Shock("case", shock, all)]);

            Assert.True(model.ClipLost(new HeldSet(all, all.Select(_ => 0.0).ToValueList(), 1)) >= shock);
        });

    [Fact]
    public void Bounds_PastTheExactLimit_HoldTheExactFigure() => World.Sample(world =>
    {
        // The same finder with its exact way closed must bracket what the exact way gives.
        LossBounds exact = world.Model.AnyLost(world.Sets);
        LossBounds bounds = new LossBoundsFinder(world.Model, mostCounted: world.Sets.Max(set => set.Drives.Count)).AnyLost(world.Sets);

        Assert.True(exact.IsExact);
        Assert.InRange(exact.Upper, bounds.Lower * (1 - 1e-9), bounds.Upper * (1 + 1e-9));
    }, iter: 2000);

    [Fact]
    public void ClipLost_UnderManyCrossingShocks_StaysExact()
    {
        // Every pair and triple of six drives has a shock of its own, some of them twice: far too many to enumerate.
        List<Shock> shocks = [];
        for (int mask = 1; mask < 64; mask++)
        {
            ValueList<int> members = Enumerable.Range(0, 6).Where(drive => (mask >> drive & 1) != 0).ToValueList();
            if (members.Count is 2 or 3)
            {
                shocks.Add(new Shock($"{mask}", 0.001 * mask, members));
                shocks.Add(new Shock($"{mask} again", 0.002, members));
            }
        }

        var model = new LossModel(Enumerable.Repeat(0.05, 6), shocks);
        var set = new HeldSet([0, 1, 2, 3, 4, 5], [0, 0, 0, 0, 0, 0], 1);

        Assert.Equal(1, model.ClipLost(set) / model.AnyLost([set]).Upper, 1e-12);
        Assert.True(model.ClipLost(set) > 0);
    }

    [Fact]
    public void TwentyDrivesInOneGroup_AreExact()
    {
        (LossModel model, HeldSet[] sets) = Chain(20);

        Assert.True(model.AnyLost(sets).IsExact);
    }

    [Fact]
    public void ThirtyDrivesInOneGroup_AreBoundedTightly()
    {
        (LossModel model, HeldSet[] sets) = Chain(30);
        LossBounds bounds = model.AnyLost(sets);

        Assert.False(bounds.IsExact);
        Assert.True(bounds.Lower > 0.9 * bounds.Upper);
    }

    [Fact]
    public void ManyIndependentGroups_StayExact()
    {
        // 30 drives in 10 groups that share nothing.
        var model = new LossModel(Enumerable.Repeat(0.01, 30), []);
        HeldSet[] sets = [.. Enumerable.Range(0, 10).Select(i => new HeldSet([3 * i, (3 * i) + 1, (3 * i) + 2], [0, 0, 0], 5))];
        LossBounds bounds = model.AnyLost(sets);

        Assert.True(bounds.IsExact);
        Assert.Equal(1 - Math.Pow(1 - 1e-6, 10), bounds.Upper, 1e-12);
    }

    [Theory]
    [InlineData(1)]
    [InlineData(2)]
    [InlineData(3)]
    public void Sampling_AgreesWithinItsError(int seed)
    {
        var model = new LossModel(
            [0.05, 0.08, 0.05, 0.1],
            [new Shock("case", 0.03, [0, 1]), new Shock("sled", 0.02, [0, 1, 2]), new Shock("batch", 0.04, [1, 3])],
            [0.2]);
        HeldSet[] sets = [new([0, 1, 2], [0.01, 0.02, 0.01], 20), new([2, 3], [0.02, 0.01], 10), new([3], [0.05], 2, 0)];
        const int Worlds = 200_000;

        double sampled = Sampled(model, sets, new Random(seed), Worlds);
        double exact = model.AnyLost(sets).Upper;

        Assert.InRange(sampled, exact - (4 * Math.Sqrt(exact * (1 - exact) / Worlds)), exact + (4 * Math.Sqrt(exact * (1 - exact) / Worlds)));
    }

    private static double Sampled(LossModel model, HeldSet[] sets, Random random, int worlds)
    {
        int lost = 0;
        for (int world = 0; world < worlds; world++)
        {
            var dead = new bool[model.Drives.Count];
            for (int drive = 0; drive < dead.Length; drive++)
            {
                dead[drive] = random.NextDouble() < model.Drives[drive];
            }

            foreach (Shock shock in model.Shocks)
            {
                if (random.NextDouble() < shock.Chance)
                {
                    foreach (int drive in shock.Drives)
                    {
                        dead[drive] = true;
                    }
                }
            }

            bool[] deadCards = [.. model.Cards.Select(chance => random.NextDouble() < chance)];
            lost += Array.Exists(sets, set => SomeClipLost(set, dead, deadCards, random)) ? 1 : 0;
        }

        return (double)lost / worlds;
    }

    private static bool SomeClipLost(HeldSet set, bool[] dead, bool[] deadCards, Random random)
    {
        if (set.Card >= 0 && !deadCards[set.Card])
        {
            return false;
        }

        for (long clip = 0; clip < set.Clips; clip++)
        {
            bool lost = true;
            for (int i = 0; i < set.Drives.Count; i++)
            {
                // Draw before looking, so that each copy has its own error.
                bool unreadable = random.NextDouble() < set.Errors[i];
                lost &= dead[set.Drives[i]] || unreadable;
            }

            if (lost)
            {
                return true;
            }
        }

        return false;
    }

    /// <summary>Drives in a row, each next pair holding clips of its own: one group that nothing splits.</summary>
    private static (LossModel Model, HeldSet[] Sets) Chain(int drives) => (
        new LossModel(Enumerable.Repeat(0.002, drives), [new Shock("case", 0.0001, Enumerable.Range(0, 3).ToValueList())]),
        [.. Enumerable.Range(0, drives - 1).Select(i => new HeldSet([i, i + 1], [0.0001, 0.0001], 10))]);
}
