namespace KitMesh.Outlook.Charging;

// Problem: with every device given to one outlet, how long does each get?
// Method: on one outlet the devices run one after the other in the order in which they are ready; that is possible exactly when for every moment ρ the
// devices ready at ρ or later fit into what is left after ρ. Those sets are nested, so that giving time in the order of worth an hour is best (greedy on a
// laminar family, J. Edmonds 1970). The bank's budget is one more row: it gets a price λ a Wh, found by bisection, and the two solutions on either side of
// the price are mixed so that the budget is met exactly, which is the optimum of the linear programme (Lagrangian duality with one row).
// Check: ChargingSolverTests (brute force over assignments, linear-programming bound).

/// <summary>The best durations for one assignment.</summary>
internal sealed class AssignmentValue(ChargeProblem problem)
{
    private readonly double[] _ready = [.. problem.Jobs.Select(job => Math.Clamp(job.ReadyH, 0, problem.Hours))];

    internal ChargeSolution Of(int[] outlet)
    {
        double[] free = Give(outlet, 0);
        if (Spent(outlet, free) <= problem.BudgetWh + 1e-9)
        {
            return new ChargeSolution([.. outlet], free, Worth(free), Spent(outlet, free, all: true), false);
        }

        double low = 0;
        double high = problem.Jobs.Max(job => job.Weight) * 2;
        for (int i = 0; i < 60; i++)
        {
            double middle = (low + high) / 2;
            (low, high) = Spent(outlet, Give(outlet, middle)) > problem.BudgetWh ? (middle, high) : (low, middle);
        }

        double[] over = Give(outlet, low);
        double[] under = Give(outlet, high);
        double spentOver = Spent(outlet, over);
        double spentUnder = Spent(outlet, under);
        double mix = spentOver - spentUnder > 1e-12 ? Math.Clamp((problem.BudgetWh - spentUnder) / (spentOver - spentUnder), 0, 1) : 0;
        double[] mixed = [.. over.Zip(under, (a, b) => (mix * a) + ((1 - mix) * b))];
        return new ChargeSolution([.. outlet], mixed, Worth(mixed), Spent(outlet, mixed, all: true), true);
    }

    private double[] Give(int[] outlet, double price)
    {
        int count = problem.Jobs.Count;
        var into = new double[count];
        for (int o = 0; o < problem.Outlets.Count; o++)
        {
            ChargeOutlet plug = problem.Outlets[o];
            int[] here = [.. Enumerable.Range(0, count).Where(job => outlet[job] == o && plug.Rate(problem.Jobs[job]) > 0)];
            Array.Sort(here, (a, b) => Density(b, plug, price).CompareTo(Density(a, plug, price)) is var by && by != 0 ? by : a.CompareTo(b));
            var given = new double[count];
            foreach (int job in here)
            {
                if (Density(job, plug, price) <= 0)
                {
                    continue;
                }

                double rate = plug.Rate(problem.Jobs[job]);
                given[job] = Math.Min(problem.Jobs[job].NeedWh / rate, Room(here, given, job));
                into[job] = given[job] * rate;
            }
        }

        return into;
    }

    // Hours that one more job may take: the tightest of the nested limits that it counts in.
    private double Room(int[] here, double[] given, int job)
    {
        double room = problem.Hours - _ready[job];
        foreach (int other in here)
        {
            double from = _ready[other];
            if (from <= _ready[job])
            {
                double used = 0;
                foreach (int later in here)
                {
                    used += _ready[later] >= from ? given[later] : 0;
                }

                room = Math.Min(room, problem.Hours - from - used);
            }
        }

        return Math.Max(0, room);
    }

    private double Density(int job, ChargeOutlet plug, double price)
    {
        ChargeJob one = problem.Jobs[job];
        double cost = one.IsLifeSafety ? 0 : price * plug.FromBankPerWh;
        return plug.Rate(one) * (one.Weight - cost);
    }

    private double Spent(int[] outlet, double[] into, bool all = false)
    {
        double spent = 0;
        for (int job = 0; job < into.Length; job++)
        {
            spent += outlet[job] >= 0 && (all || !problem.Jobs[job].IsLifeSafety) ? into[job] * problem.Outlets[outlet[job]].FromBankPerWh : 0;
        }

        return spent;
    }

    private double Worth(double[] into)
    {
        double worth = 0;
        for (int job = 0; job < into.Length; job++)
        {
            worth += into[job] * problem.Jobs[job].Weight;
        }

        return worth;
    }
}
