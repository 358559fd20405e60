namespace KitMesh.Outlook.Charging;

// Problem: how good could any plan be?
// Method: let devices change outlets at will and share them by the minute: a linear programme whose optimum no plan can beat. It is solved by the primal
// simplex method (Dantzig's rule, Bland's after many steps), but the bound that is returned is computed from the dual prices after making them feasible,
// so that it holds even if the simplex stopped early: weak duality, b·y for any y ≥ 0 with A'y ≥ c. (V. Chvátal, "Linear Programming", 1983, chapter 5.)
// Rows: need of each device; hours of each device; for each outlet and each moment at which some device gets ready, hours left after it; the bank's budget.

/// <summary>An upper bound on the worth of any charging plan.</summary>
internal static class LinearBound
{
    private const int MostPivots = 5_000;

    internal static double Of(ChargeProblem problem)
    {
        (double[,] a, double[] b, double[] c) = Build(problem);
        if (c.Length == 0)
        {
            return 0;
        }

        double[] y = Prices(a, b, c);
        Repair(a, c, y);
        double bound = 0;
        for (int row = 0; row < b.Length; row++)
        {
            bound += b[row] * y[row];
        }

        return bound;
    }

    private static (double[,] A, double[] B, double[] C) Build(ChargeProblem problem)
    {
        int outlets = problem.Outlets.Count;
        (int Job, int Outlet)[] columns =
        [
            .. from job in Enumerable.Range(0, problem.Jobs.Count)
               from outlet in Enumerable.Range(0, outlets)
               where problem.Outlets[outlet].Rate(problem.Jobs[job]) > 0
               select (job, outlet),
        ];
        double[] ready = [.. problem.Jobs.Select(job => Math.Clamp(job.ReadyH, 0, problem.Hours))];
        double[] moments = [.. ready.Append(0).Distinct().Order()];
        int rows = (2 * problem.Jobs.Count) + (outlets * moments.Length) + 1;
        var a = new double[rows, columns.Length];
        var b = new double[rows];
        for (int job = 0; job < problem.Jobs.Count; job++)
        {
            b[job] = problem.Jobs[job].NeedWh;
            b[problem.Jobs.Count + job] = problem.Hours - ready[job];
        }

        int first = 2 * problem.Jobs.Count;
        for (int outlet = 0; outlet < outlets; outlet++)
        {
            for (int m = 0; m < moments.Length; m++)
            {
                b[first + (outlet * moments.Length) + m] = problem.Hours - moments[m];
            }
        }

        b[rows - 1] = Math.Max(0, problem.BudgetWh);
        for (int k = 0; k < columns.Length; k++)
        {
            (int job, int outlet) = columns[k];
            double hours = 1 / problem.Outlets[outlet].Rate(problem.Jobs[job]);
            a[job, k] = 1;
            a[problem.Jobs.Count + job, k] = hours;
            for (int m = 0; m < moments.Length; m++)
            {
                a[first + (outlet * moments.Length) + m, k] = ready[job] >= moments[m] ? hours : 0;
            }

            a[rows - 1, k] = problem.Jobs[job].IsLifeSafety ? 0 : problem.Outlets[outlet].FromBankPerWh;
        }

        return (a, b, [.. columns.Select(column => problem.Jobs[column.Job].Weight)]);
    }

    // Tableau with slack columns; the last row holds reduced costs, whose slack part are the prices.
    private static double[] Prices(double[,] a, double[] b, double[] c)
    {
        int rows = b.Length;
        int columns = c.Length;
        int width = columns + rows + 1;
        var t = new double[rows + 1, width];
        for (int i = 0; i < rows; i++)
        {
            for (int j = 0; j < columns; j++)
            {
                t[i, j] = a[i, j];
            }

            t[i, columns + i] = 1;
            t[i, width - 1] = b[i];
        }

        for (int j = 0; j < columns; j++)
        {
            t[rows, j] = -c[j];
        }

        for (int pivot = 0; pivot < MostPivots; pivot++)
        {
            int enter = Enter(t, rows, width, bland: pivot > 500);
            int leave = enter < 0 ? -1 : Leave(t, rows, width, enter);
            if (leave < 0)
            {
                break;
            }

            Pivot(t, rows, width, leave, enter);
        }

        return [.. Enumerable.Range(0, rows).Select(i => Math.Max(0, t[rows, columns + i]))];
    }

    private static int Enter(double[,] t, int rows, int width, bool bland)
    {
        int best = -1;
        double least = -1e-10;
        for (int j = 0; j < width - 1; j++)
        {
            if (t[rows, j] < least)
            {
                best = j;
                if (bland)
                {
                    break;
                }

                least = t[rows, j];
            }
        }

        return best;
    }

    private static int Leave(double[,] t, int rows, int width, int enter)
    {
        int best = -1;
        double least = double.PositiveInfinity;
        for (int i = 0; i < rows; i++)
        {
            if (t[i, enter] > 1e-11 && t[i, width - 1] / t[i, enter] < least - 1e-14)
            {
                least = t[i, width - 1] / t[i, enter];
                best = i;
            }
        }

        return best;
    }

    private static void Pivot(double[,] t, int rows, int width, int leave, int enter)
    {
        double p = t[leave, enter];
        for (int j = 0; j < width; j++)
        {
            t[leave, j] /= p;
        }

        for (int i = 0; i <= rows; i++)
        {
            double factor = i == leave ? 0 : t[i, enter];
            if (factor != 0)
            {
                for (int j = 0; j < width; j++)
                {
                    t[i, j] -= factor * t[leave, j];
                }
            }
        }
    }

    // Where the prices do not cover a column's worth, the device's own need row (coefficient 1) pays the rest.
    private static void Repair(double[,] a, double[] c, double[] y)
    {
        for (int j = 0; j < c.Length; j++)
        {
            double covered = 0;
            int need = -1;
            for (int i = 0; i < y.Length; i++)
            {
                covered += a[i, j] * y[i];
                need = need < 0 && a[i, j] > 0 ? i : need;
            }

            y[need] += Math.Max(0, c[j] - covered);
        }
    }
}
