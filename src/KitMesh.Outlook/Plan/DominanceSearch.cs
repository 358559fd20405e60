namespace KitMesh.Outlook.Plan;

// Problem: the lightest of a million combinations whose chance is below a limit, when judging one takes a full outlook.
// Trap: judging them lightest first takes thousands of outlooks.
// Method: a combination counts by a few sums (charge and conductance of its packs, watts of panels that stand alike), and more of every sum never makes
// it worse (the paths share their random numbers). So a combination that is not good enough rules out every one whose sums are no greater, and one
// that is good enough rules out everything heavier.
// Each step judges one of the undecided, from the middle of their weights, that rules most out when it is not good enough. What is left when nothing is
// undecided is proven lightest; when the judgements run out before, the answer says so.
// Check: DominanceSearchTests (equal to brute force on small lists, at most 200 judgements for 10^6 combinations).

/// <summary>Finds the lightest combination that is good enough.</summary>
internal sealed class DominanceSearch
{
    private const int Probes = 48;

    private readonly int[] _least;
    private readonly int[] _sizes;
    private readonly float[] _weights;
    private readonly float[] _sums;
    private readonly int _features;
    private readonly int[] _byWeight;
    private readonly bool[] _dead;
    private readonly Func<int[], double> _judge;

    /// <summary>A search.</summary>
    /// <param name="choices">Least, most and weight of one, for each item.</param>
    /// <param name="judge">The chance of a combination.</param>
    /// <param name="features">What one of each item adds to each sum; null when every item is a sum of its own.</param>
    internal DominanceSearch(IReadOnlyList<(int Least, int Most, double Kilograms)> choices, Func<int[], double> judge, IReadOnlyList<double[]>? features = null)
    {
        _judge = judge;
        IReadOnlyList<double[]> adds = features ?? [.. choices.Select((_, at) => choices.Select((_, other) => other == at ? 1.0 : 0).ToArray())];
        _features = adds.Count > 0 ? adds[0].Length : 0;
        _least = [.. choices.Select(choice => choice.Least)];
        _sizes = [.. choices.Select(choice => choice.Most - choice.Least + 1)];
        int combinations = checked((int)_sizes.Aggregate(1L, (product, size) => product * size));
        _weights = new float[combinations];
        _sums = new float[checked(combinations * _features)];
        _dead = new bool[combinations];
        _byWeight = new int[combinations];
        for (int i = 0; i < combinations; i++)
        {
            int[] counts = CountsOf(i);
            _weights[i] = (float)counts.Select((count, at) => count * choices[at].Kilograms).Sum();
            _byWeight[i] = i;
            for (int feature = 0; feature < _features; feature++)
            {
                _sums[(i * _features) + feature] = (float)counts.Select((count, at) => count * adds[at][feature]).Sum();
            }
        }

        Array.Sort((float[])_weights.Clone(), _byWeight);
    }

    /// <summary>Everything that was judged.</summary>
    internal List<(int[] Counts, double Kilograms, double Chance)> Judged { get; } = [];

    /// <summary>The lightest that is good enough, with whether that is proven; null when none is.</summary>
    internal (int[] Counts, double Chance, bool IsProven)? Find(double limit, int mostJudgements)
    {
        int end = _byWeight.Length;
        int all = _byWeight.Length - 1;
        double whole = Judge(all);
        if (whole > limit)
        {
            return null;
        }

        (int Index, double Chance) best = (all, whole);
        end = EndBefore(_weights[all], end);
        while (Pick(end) is { } candidate)
        {
            if (Judged.Count >= mostJudgements)
            {
                return (CountsOf(best.Index), best.Chance, false);
            }

            double chance = Judge(candidate);
            if (chance <= limit)
            {
                best = (candidate, chance);
                end = EndBefore(_weights[candidate], end);
            }
            else
            {
                Kill(candidate, end);
            }
        }

        return (CountsOf(best.Index), best.Chance, true);
    }

    private double Judge(int index)
    {
        int[] counts = CountsOf(index);
        double chance = _judge(counts);
        Judged.Add((counts, _weights[index], chance));
        return chance;
    }

    private int EndBefore(float weight, int end)
    {
        while (end > 0 && _weights[_byWeight[end - 1]] >= weight)
        {
            end--;
        }

        return end;
    }

    private int? Pick(int end)
    {
        int[] open = [.. _byWeight.AsSpan(0, end).ToArray().Where(index => !_dead[index])];
        if (open.Length == 0)
        {
            return null;
        }

        // From the second third of the undecided: heavy enough to rule much out, light enough to win something.
        int from = open.Length / 3;
        int width = Math.Max(1, open.Length / 2);
        int best = open[from];
        double most = -1;
        for (int i = 0; i < Probes; i++)
        {
            int index = open[Math.Min(open.Length - 1, from + (int)((long)width * i / Probes))];
            double box = 1;
            for (int feature = 0; feature < _features; feature++)
            {
                box *= _sums[(index * _features) + feature] + 1e-3;
            }

            if (box > most)
            {
                most = box;
                best = index;
            }
        }

        return best;
    }

    /// <summary>Rules out every lighter combination whose sums are no greater.</summary>
    private void Kill(int index, int end)
    {
        ReadOnlySpan<float> bad = _sums.AsSpan(index * _features, _features);
        for (int i = 0; i < end; i++)
        {
            int other = _byWeight[i];
            ReadOnlySpan<float> sums = _sums.AsSpan(other * _features, _features);
            bool isNoGreater = !_dead[other];
            for (int feature = 0; isNoGreater && feature < sums.Length; feature++)
            {
                isNoGreater = sums[feature] <= bad[feature] * 1.000001f;
            }

            _dead[other] |= isNoGreater;
        }
    }

    private int[] CountsOf(int index)
    {
        int[] counts = new int[_sizes.Length];
        for (int i = 0; i < _sizes.Length; i++)
        {
            counts[i] = _least[i] + (index % _sizes[i]);
            index /= _sizes[i];
        }

        return counts;
    }
}
