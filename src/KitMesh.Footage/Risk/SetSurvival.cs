namespace KitMesh.Footage.Risk;

/// <summary>The chance that something is lost, given which drives are dead. Plain arrays: it is asked up to a million times.</summary>
internal sealed class SetSurvival
{
    private readonly uint[] _masks;
    private readonly double[][] _errors;
    private readonly int[][] _drives;
    private readonly double[] _clips;
    private readonly int[] _firstOfCard;
    private readonly double[] _cardFails;

    /// <param name="model">The model.</param>
    /// <param name="sets">The sets, in any order.</param>
    /// <param name="local">Bit of each drive; -1 for drives that no set uses.</param>
    public SetSurvival(LossModel model, IEnumerable<HeldSet> sets, int[] local)
    {
        // Sets without a card come first, then card by card; _firstOfCard holds where each run begins.
        HeldSet[] sorted = [.. sets.OrderBy(set => set.Card)];
        _masks = [.. sorted.Select(set => set.Drives.Aggregate(0u, (mask, drive) => mask | (1u << local[drive])))];
        _errors = [.. sorted.Select(set => set.Errors.ToArray())];
        _drives = [.. sorted.Select(set => set.Drives.Select(drive => local[drive]).ToArray())];
        _clips = [.. sorted.Select(set => (double)set.Clips)];
        List<int> first = [];
        List<double> fails = [];
        for (int i = 0; i < sorted.Length; i++)
        {
            if (i == 0 || sorted[i].Card != sorted[i - 1].Card)
            {
                first.Add(i);
                fails.Add(sorted[i].Card < 0 ? 1 : model.Cards[sorted[i].Card]);
            }
        }

        first.Add(sorted.Length);
        _firstOfCard = [.. first];
        _cardFails = [.. fails];
    }

    public double AnyLost(uint dead)
    {
        double logOfNone = 0;
        for (int card = 0; card < _cardFails.Length; card++)
        {
            double logWithoutCard = 0;
            for (int i = _firstOfCard[card]; i < _firstOfCard[card + 1]; i++)
            {
                logWithoutCard += LogOfNoneLost(i, dead);
            }

            double lost = _cardFails[card] * -FailureChance.Expm1(logWithoutCard);
            logOfNone += FailureChance.Log1p(-lost);
        }

        return -FailureChance.Expm1(logOfNone);
    }

    private double LogOfNoneLost(int set, uint dead)
    {
        if ((_masks[set] & ~dead) == 0)
        {
            return double.NegativeInfinity;
        }

        double unreadable = 1;
        int[] drives = _drives[set];
        for (int i = 0; i < drives.Length; i++)
        {
            unreadable *= (dead >> drives[i] & 1) != 0 ? 1 : _errors[set][i];
        }

        return unreadable == 0 ? 0 : _clips[set] * FailureChance.Log1p(-unreadable);
    }
}
