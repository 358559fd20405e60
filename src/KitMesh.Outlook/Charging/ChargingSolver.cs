namespace KitMesh.Outlook.Charging;

// Problem: give every device an outlet and a time so that the most important energy gets in before the deadline.
// Method: small cases try every assignment (at most MostTries). Larger ones start from several greedy orders and then move one device or swap two while that helps;
// of two that are worth the same the one that takes less from the bank; the linear-programming bound of LinearBound tells how far that can lie below the best. Deterministic.

/// <summary>Finds tonight's assignment.</summary>
internal static class ChargingSolver
{
    private const int MostTries = 4_096;
    private const int MostRounds = 50;

    internal static ChargeSolution Solve(ChargeProblem problem)
    {
        var value = new AssignmentValue(problem);
        if (problem.Jobs.Count == 0 || problem.Outlets.Count == 0 || problem.Hours <= 0)
        {
            return new ChargeSolution([.. Enumerable.Repeat(-1, problem.Jobs.Count)], new double[problem.Jobs.Count], 0, 0, false);
        }

        double tries = Math.Pow(problem.Outlets.Count + 1, problem.Jobs.Count);
        return tries <= MostTries ? TryAll(problem, value) : Search(problem, value);
    }

    internal static ChargeSolution TryAll(ChargeProblem problem, AssignmentValue value)
    {
        int choices = problem.Outlets.Count + 1;
        var outlet = new int[problem.Jobs.Count];
        Array.Fill(outlet, -1);
        ChargeSolution best = value.Of(outlet);
        while (Next(outlet, choices))
        {
            ChargeSolution now = value.Of(outlet);
            best = now.IsBetterThan(best) ? now : best;
        }

        return best;
    }

    private static bool Next(int[] outlet, int choices)
    {
        for (int i = 0; i < outlet.Length; i++)
        {
            outlet[i]++;
            if (outlet[i] < choices - 1)
            {
                return true;
            }

            outlet[i] = -1;
        }

        return false;
    }

    private static ChargeSolution Search(ChargeProblem problem, AssignmentValue value)
    {
        int count = problem.Jobs.Count;
        int[][] orders =
        [
            [.. Enumerable.Range(0, count)],
            [.. Enumerable.Range(0, count).OrderByDescending(job => problem.Jobs[job].NeedWh / Math.Max(1, problem.Jobs[job].ChargerWatts)).ThenBy(job => job)],
            [.. Enumerable.Range(0, count).OrderByDescending(job => problem.Jobs[job].Weight * problem.Jobs[job].ChargerWatts).ThenBy(job => job)],
            [.. Enumerable.Range(0, count).OrderByDescending(job => problem.Jobs[job].ReadyH).ThenBy(job => job)],
        ];
        ChargeSolution? best = null;
        foreach (int[] order in orders)
        {
            ChargeSolution now = Improve(problem, value, Greedy(problem, value, order));
            best = best is null || now.IsBetterThan(best) ? now : best;
        }

        return best!;
    }

    private static ChargeSolution Greedy(ChargeProblem problem, AssignmentValue value, int[] order)
    {
        var outlet = new int[problem.Jobs.Count];
        Array.Fill(outlet, -1);
        ChargeSolution best = value.Of(outlet);
        foreach (int job in order)
        {
            int chosen = -1;
            for (int o = 0; o < problem.Outlets.Count; o++)
            {
                outlet[job] = o;
                ChargeSolution now = value.Of(outlet);
                if (now.IsBetterThan(best))
                {
                    best = now;
                    chosen = o;
                }
            }

            outlet[job] = chosen;
        }

        return best;
    }

    private static ChargeSolution Improve(ChargeProblem problem, AssignmentValue value, ChargeSolution start)
    {
        ChargeSolution best = start;
        for (int round = 0; round < MostRounds; round++)
        {
            ChargeSolution before = best;
            best = Move(problem, value, best);
            best = Swap(value, best);
            if (!best.IsBetterThan(before))
            {
                break;
            }
        }

        return best;
    }

    private static ChargeSolution Move(ChargeProblem problem, AssignmentValue value, ChargeSolution best)
    {
        for (int job = 0; job < best.Outlet.Length; job++)
        {
            for (int o = -1; o < problem.Outlets.Count; o++)
            {
                int[] outlet = [.. best.Outlet];
                outlet[job] = o;
                ChargeSolution now = value.Of(outlet);
                best = now.IsBetterThan(best) ? now : best;
            }
        }

        return best;
    }

    private static ChargeSolution Swap(AssignmentValue value, ChargeSolution best)
    {
        for (int a = 0; a < best.Outlet.Length; a++)
        {
            for (int b = a + 1; b < best.Outlet.Length; b++)
            {
                if (best.Outlet[a] != best.Outlet[b])
                {
                    int[] outlet = [.. best.Outlet];
                    (outlet[a], outlet[b]) = (outlet[b], outlet[a]);
                    ChargeSolution now = value.Of(outlet);
                    best = now.IsBetterThan(best) ? now : best;
                }
            }
        }

        return best;
    }
}
