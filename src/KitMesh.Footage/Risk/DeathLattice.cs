namespace KitMesh.Footage.Risk;

/// <summary>
/// The chance of every set of dead drives out of at most 20.
/// </summary>
/// <remarks>
/// Starting from "none is dead", each drive's own failure and each shock is one independent event that adds its drives to
/// the dead: f'(A ∪ M) += s · f(A), f'(A) += (1 - s) · f(A). After all events f is the exact joint distribution, whether
/// the shocks nest or cut across each other. All terms are positive. 2^20 sets take 8 MiB and about 30 passes.
/// </remarks>
internal sealed class DeathLattice
{
    /// <summary>The most drives whose every set of deaths is counted.</summary>
    public const int MaxDrives = 20;

    private readonly double[] _chance;

    public DeathLattice(IReadOnlyList<double> fail, IEnumerable<(uint Mask, double Chance)> shocks)
    {
        ArgumentOutOfRangeException.ThrowIfGreaterThan(fail.Count, MaxDrives);
        _chance = new double[1 << fail.Count];
        _chance[0] = 1;
        for (int drive = 0; drive < fail.Count; drive++)
        {
            Apply(1u << drive, fail[drive]);
        }

        foreach ((ulong mask, double chance) in ShockForest.Merged(shocks.Select(shock => ((ulong)shock.Mask, shock.Chance))))
        {
            Apply((uint)mask, chance);
        }
    }

    /// <summary>The chance of each set of dead drives, by its bits.</summary>
    public ReadOnlySpan<double> Chance => _chance;

    private void Apply(uint mask, double chance)
    {
        if (mask == 0 || chance <= 0)
        {
            return;
        }

        // Downwards: a set that has the mask takes from its subsets, which are smaller numbers, before they are scaled.
        for (int set = _chance.Length - 1; set >= 0; set--)
        {
            if (_chance[set] == 0 || ((uint)set & mask) == mask)
            {
                continue;
            }

            _chance[set | (int)mask] += chance * _chance[set];
            _chance[set] *= 1 - chance;
        }
    }
}
