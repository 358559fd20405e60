namespace KitMesh.Domain;

/// <summary>The known word that a mistyped one most likely stands for.</summary>
/// <remarks>
/// Optimal string alignment distance (insert, delete, replace, swap of neighbours), case ignored. A word farther away
/// than a third of its length (at least one step) is no suggestion: a wrong guess costs more than none.
/// </remarks>
public static class NearestWord
{
    /// <summary>The nearest word; null when none is near.</summary>
    /// <param name="typed">What was written.</param>
    /// <param name="known">What would have been right.</param>
    public static string? To(string typed, IEnumerable<string> known)
    {
        ArgumentNullException.ThrowIfNull(typed);
        ArgumentNullException.ThrowIfNull(known);
        (string? best, int bestDistance) = (null, int.MaxValue);
        foreach (string candidate in known)
        {
            int distance = Distance(typed.ToLowerInvariant(), candidate.ToLowerInvariant());
            int most = Math.Max(1, Math.Max(typed.Length, candidate.Length) / 3);
            if (distance <= most && distance < bestDistance)
            {
                (best, bestDistance) = (candidate, distance);
            }
        }

        return best;
    }

    internal static int Distance(string a, string b)
    {
        int[,] cost = new int[a.Length + 1, b.Length + 1];
        for (int i = 0; i <= a.Length; i++)
        {
            cost[i, 0] = i;
        }

        for (int j = 0; j <= b.Length; j++)
        {
            cost[0, j] = j;
        }

        for (int i = 1; i <= a.Length; i++)
        {
            for (int j = 1; j <= b.Length; j++)
            {
                int replace = cost[i - 1, j - 1] + (a[i - 1] == b[j - 1] ? 0 : 1);
                cost[i, j] = Math.Min(replace, Math.Min(cost[i - 1, j], cost[i, j - 1]) + 1);
                if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1])
                {
                    cost[i, j] = Math.Min(cost[i, j], cost[i - 2, j - 2] + 1);
                }
            }
        }

        return cost[a.Length, b.Length];
    }
}
