using CsCheck;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Outlook.Charging;

namespace KitMesh.Tests.Outlook.Charging;

/// <summary>Tonight's charging against brute force on small cases and a linear-programming bound on large ones.</summary>
public sealed class ChargingSolverTests
{
    private static readonly Gen<ChargeJob> Jobs =
        from need in Gen.Double[5, 120]
        from watts in Gen.Double[5, 80]
        from kind in Gen.Int[0, 2]
        from priority in Gen.Int[1, 6]
        from ready in Gen.Double[0, 3].Select(h => h < 1.5 ? 0 : h - 1)
        select new ChargeJob(Load((LoadClass)kind, priority), need, ChargeJobs.Weight(Load((LoadClass)kind, priority)), ready, watts, null, null);

    private static readonly Gen<ChargeOutlet> Outlets =
        from limit in Gen.Double[10, 150]
        from efficiency in Gen.Double[0.7, 1]
        select new ChargeOutlet(new Outlet(KitId.Parse("outlet"), KitId.Parse("bank"), new(limit), efficiency));

    private static Gen<ChargeProblem> Problems(int mostJobs, int mostOutlets) =>
        from jobs in Jobs.Array[1, mostJobs]
        from outlets in Outlets.Array[1, mostOutlets]
        from hours in Gen.Double[1, 10]
        from budget in Gen.Double[10, 500]
        select new ChargeProblem([.. jobs.OrderByDescending(job => job.Weight)], outlets, hours, budget);

    [Fact]
    public void Solve_SmallCases_IsAsGoodAsBruteForceOverTimetables() =>
        Problems(3, 2).Sample(
            problem =>
            {
                double found = ChargingSolver.Solve(problem).Worth;
                double brute = BruteForce(problem);
                Assert.True(found >= brute - (1e-6 * brute) - 1e-6, $"found {found}, brute force {brute}");
            },
            iter: 80);

    [Fact]
    public void Solve_SmallCases_NeverPassesTheBound() =>
        Problems(5, 3).Sample(
            problem =>
            {
                double found = ChargingSolver.Solve(problem).Worth;
                double bound = LinearBound.Of(problem);
                Assert.True(found <= bound * (1 + 1e-7) + 1e-6, $"found {found}, bound {bound}");
            },
            iter: 200);

    [Fact]
    public void Of_FixedAssignment_IsTheLinearProgrammesOptimum() =>
        Gen.Select(Problems(5, 2), Gen.Int[-1, 1].Array[5]).Sample(
            (problem, wish) =>
            {
                int[] outlet = [.. problem.Jobs.Select((_, i) => Math.Min(wish[i], problem.Outlets.Count - 1))];
                ChargeSolution given = new AssignmentValue(problem).Of(outlet);

                // The same bound with every device allowed on its own outlet alone: one outlet at a time, the budget shared through the price it finds is checked by its sum.
                double bound = RestrictedBound(problem, outlet);
                Assert.Equal(bound, given.Worth, Math.Max(1e-6, bound * 1e-6));
            },
            iter: 150);

    [Fact]
    public void Solve_LargeCases_LiesWithinOnePercentOfTheBound()
    {
        var gaps = new List<double>();
        Gen.Select(Jobs.Array[14, 24], Outlets.Array[3, 6], Gen.Double[4, 10], Gen.Double[100, 900]).Sample(
            (jobs, outlets, hours, budget) =>
            {
                var problem = new ChargeProblem([.. jobs.OrderByDescending(job => job.Weight)], outlets, hours, budget);
                double worth = ChargingSolver.Solve(problem).Worth;
                lock (gaps)
                {
                    gaps.Add(1 - (worth / LinearBound.Of(problem)));
                }
            },
            iter: 30);

        Assert.True(gaps.Order().ElementAt(gaps.Count / 2) <= 0.01, $"median gap {gaps.Order().ElementAt(gaps.Count / 2):P2}");
        Assert.True(gaps.Average() <= 0.01, $"mean gap {gaps.Average():P2}, worst {gaps.Max():P2}");
    }

    [Fact]
    public void Solve_EveryCase_KeepsTimeNeedAndBudget() =>
        Problems(12, 4).Sample(
            problem =>
            {
                ChargeSolution solution = ChargingSolver.Solve(problem);
                double spent = 0;
                for (int o = 0; o < problem.Outlets.Count; o++)
                {
                    double clock = 0;
                    foreach (int job in Enumerable.Range(0, problem.Jobs.Count).Where(j => solution.Outlet[j] == o).OrderBy(j => problem.Jobs[j].ReadyH))
                    {
                        clock = solution.IntoWh[job] > 0 ? Math.Max(clock, problem.Jobs[job].ReadyH) + (solution.IntoWh[job] / problem.Outlets[o].Rate(problem.Jobs[job])) : clock;
                        spent += problem.Jobs[job].IsLifeSafety ? 0 : solution.IntoWh[job] * problem.Outlets[o].FromBankPerWh;
                        Assert.True(solution.IntoWh[job] <= problem.Jobs[job].NeedWh + 1e-9);
                    }

                    Assert.True(clock <= problem.Hours + 1e-6, $"outlet {o} ends at {clock} of {problem.Hours} h");
                }

                Assert.True(spent <= problem.BudgetWh + 1e-6);
            },
            iter: 100);

    // Every assignment, every order, durations on a grid of a twelfth of what each could use: what a patient person could try.
    private static double BruteForce(ChargeProblem problem)
    {
        const int Parts = 12;
        double best = 0;
        int count = problem.Jobs.Count;
        var outlet = new int[count];
        var part = new int[count];

        void Try(int job, double spent, double worth)
        {
            if (spent > problem.BudgetWh + 1e-9)
            {
                return;
            }

            if (job == count)
            {
                best = worth > best && Fits(problem, outlet, part, Parts) ? worth : best;
                return;
            }

            outlet[job] = -1;
            part[job] = 0;
            Try(job + 1, spent, worth);
            for (int o = 0; o < problem.Outlets.Count; o++)
            {
                for (int p = 1; p <= Parts; p++)
                {
                    outlet[job] = o;
                    part[job] = p;
                    double into = problem.Jobs[job].NeedWh * p / Parts;
                    Try(job + 1, spent + (problem.Jobs[job].IsLifeSafety ? 0 : into * problem.Outlets[o].FromBankPerWh), worth + (into * problem.Jobs[job].Weight));
                }
            }
        }

        Try(0, 0, 0);
        return best;
    }

    private static bool Fits(ChargeProblem problem, int[] outlet, int[] part, int parts)
    {
        for (int o = 0; o < problem.Outlets.Count; o++)
        {
            int[] here = [.. Enumerable.Range(0, outlet.Length).Where(job => outlet[job] == o)];
            if (here.Length > 0 && !Orders(here).Any(order => Ends(problem, order, o, part, parts) <= problem.Hours + 1e-9))
            {
                return false;
            }
        }

        return true;
    }

    private static double Ends(ChargeProblem problem, IEnumerable<int> order, int o, int[] part, int parts)
    {
        double clock = 0;
        foreach (int job in order)
        {
            clock = Math.Max(clock, problem.Jobs[job].ReadyH) + (problem.Jobs[job].NeedWh * part[job] / parts / problem.Outlets[o].Rate(problem.Jobs[job]));
        }

        return clock;
    }

    private static IEnumerable<int[]> Orders(int[] items) =>
        items.Length <= 1 ? [items] : items.SelectMany(item => Orders([.. items.Where(other => other != item)]).Select(rest => (int[])[item, .. rest]));

    // Each outlet a problem of its own, joined by the budget: minimise over the budget's price the sum of priced bounds (Lagrangian dual, convex in the price).
    private static double RestrictedBound(ChargeProblem problem, int[] outlet)
    {
        double Dual(double price)
        {
            double sum = price * problem.BudgetWh;
            for (int o = 0; o < problem.Outlets.Count; o++)
            {
                ChargeJob[] here =
                [
                    .. problem.Jobs.Where((_, job) => outlet[job] == o)
                        .Select(job => job with { Weight = Math.Max(0, job.Weight - (job.IsLifeSafety ? 0 : price * problem.Outlets[o].FromBankPerWh)) }),
                ];
                sum += LinearBound.Of(new ChargeProblem(here, [problem.Outlets[o]], problem.Hours, 1e12));
            }

            return sum;
        }

        double low = 0;
        double high = 20_000;
        for (int i = 0; i < 200; i++)
        {
            double a = low + ((high - low) * 0.382);
            double b = low + ((high - low) * 0.618);
            (low, high) = Dual(a) <= Dual(b) ? (low, b) : (a, high);
        }

        return Dual((low + high) / 2);
    }

    private static Load Load(LoadClass kind, int priority) => new(
        KitId.Parse($"{kind} {priority}"), KitId.Parse("team"), KitId.Parse("bank"), kind, priority, new(20), 0.2, new WattHours(100), new Watts(40), Chemistry.Nmc);
}
