using KitMesh.Domain;

namespace KitMesh.Footage.Risk;

/// <summary>
/// Drives that can fail, cards that can fail, and shocks that take several drives at once; says how likely clips are lost.
/// </summary>
/// <remarks>
/// A clip is lost when every drive that holds it is dead or cannot read its copy, and the card that still holds it is dead.
/// Loss of anything at all is exact up to <see cref="DeathLattice.MaxDrives"/> drives in each group of drives that share a
/// shock or a clip; past that <see cref="LossBoundsFinder"/> gives proven bounds.
/// </remarks>
public sealed class LossModel
{
    /// <param name="drives">The chance that each drive fails by itself.</param>
    /// <param name="shocks">What takes several at once.</param>
    /// <param name="cards">The chance that each card fails.</param>
    /// <exception cref="ArgumentOutOfRangeException">A chance lies outside 0 to 1, or a shock names a drive that is not there.</exception>
    public LossModel(IEnumerable<double> drives, IEnumerable<Shock> shocks, IEnumerable<double>? cards = null)
    {
        Drives = drives.ToValueList();
        Shocks = shocks.ToValueList();
        Cards = (cards ?? []).ToValueList();
        foreach (double chance in Drives.Concat(Cards).Concat(Shocks.Select(shock => shock.Chance)))
        {
            if (chance is not (>= 0 and <= 1))
            {
                throw new ArgumentOutOfRangeException(nameof(drives), chance, "A chance lies from 0 to 1.");
            }
        }

        foreach (int drive in Shocks.SelectMany(shock => shock.Drives))
        {
            ArgumentOutOfRangeException.ThrowIfNegative(drive, nameof(shocks));
            ArgumentOutOfRangeException.ThrowIfGreaterThanOrEqual(drive, Drives.Count, nameof(shocks));
        }
    }

    /// <summary>The chance that each drive fails by itself.</summary>
    public ValueList<double> Drives { get; }

    /// <summary>What takes several drives at once.</summary>
    public ValueList<Shock> Shocks { get; }

    /// <summary>The chance that each card fails.</summary>
    public ValueList<double> Cards { get; }

    /// <summary>The chance that one given clip of a set is lost; exact.</summary>
    /// <param name="set">The set.</param>
    public double ClipLost(HeldSet set)
    {
        var local = new int[Drives.Count];
        Array.Fill(local, -1);

        // More than 64 copies of one clip are 64: the rest can only make it safer.
        var fail = new double[Math.Min(64, set.Drives.Count)];
        for (int i = 0; i < fail.Length; i++)
        {
            local[set.Drives[i]] = i;
            fail[i] = FailureChance.Either(Drives[set.Drives[i]], set.Errors[i]);
        }

        (ulong, double)[] shocks = [.. Shocks.Select(shock => (Mask(shock, local), shock.Chance))];
        var forest = new ShockForest(fail, shocks);
        double onDrives = forest.CanBeEnumerated ? forest.AllLost() : LatticeLost(fail, shocks);
        return set.Card < 0 ? onDrives : onDrives * Cards[set.Card];
    }

    /// <summary>The chance that at least one clip of all these sets is lost.</summary>
    /// <param name="sets">The sets.</param>
    public LossBounds AnyLost(IReadOnlyList<HeldSet> sets) => new LossBoundsFinder(this).AnyLost(sets);

    /// <summary>Exact too, whatever the shocks' shapes; of more than 20 drives the first 20 are taken, which can only overstate the chance.</summary>
    private static double LatticeLost(double[] fail, IEnumerable<(ulong Mask, double Chance)> shocks)
    {
        int count = Math.Min(fail.Length, DeathLattice.MaxDrives);
        uint all = (uint)((1UL << count) - 1);
        var lattice = new DeathLattice(fail[..count], shocks.Select(shock => ((uint)shock.Mask & all, shock.Chance)));
        return lattice.Chance[(int)all];
    }

    private static ulong Mask(Shock shock, int[] local)
    {
        ulong mask = 0;
        foreach (int drive in shock.Drives)
        {
            mask |= local[drive] is >= 0 and < 64 ? 1UL << local[drive] : 0;
        }

        return mask;
    }
}
