using KitMesh.Domain;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using KitMesh.Outlook.Energy;
using NodaTime;

namespace KitMesh.Outlook.Charging;

// The question: what gets which outlet tonight. Devices that must warm come later or not at all, with the reason; life-safety first and from the reserve kept
// for it; the rest from what the outlook lets be spent. One plug a device, one device a plug at a time, no plug changed for less than a quarter of an hour.

/// <summary>Plans tonight's charging.</summary>
public static class ChargingPlanner
{
    private const double LeastHours = 0.25;
    private static readonly LocalTime MorningStart = new(7, 0);

    /// <summary>The next time the crew leaves with charged gear, on its own clocks. Common practice, no published source.</summary>
    /// <param name="now">World time.</param>
    /// <param name="zone">The crew's civil time.</param>
    public static Instant NextMorning(Instant now, Offset zone)
    {
        OffsetDateTime here = now.WithOffset(zone);
        LocalDate day = here.TimeOfDay < MorningStart ? here.Date : here.Date.PlusDays(1);
        return (day + MorningStart).WithOffset(zone).ToInstant();
    }

    /// <summary>Tonight's plan for every bank.</summary>
    /// <param name="question">Kit, readings, outlook, deadline and budget.</param>
    public static ChargingPlan Plan(ChargingQuestion question)
    {
        ArgumentNullException.ThrowIfNull(question);
        EnergyQuestion energy = question.Energy;
        var assumptions = new List<EnergyAssumption>();
        var kit = new KitBook(energy.Kit, energy.Now, assumptions);
        var readings = new ReadingBook(energy.Readings, energy.Now);
        double hours = Math.Clamp((question.Deadline - energy.Now).TotalHours, 0, 48);
        var steps = new List<ChargingStep>();
        var left = new List<LeftOut>();
        var budgets = new List<BankBudget>();
        double worth = 0;
        double bound = 0;
        foreach (Bank declared in kit.Banks)
        {
            if (BankKit.Of(declared, kit, assumptions) is not { } bank)
            {
                continue;
            }

            (ChargeProblem problem, List<LeftOut> skipped, double most) = Problem(question, bank, kit, readings, hours, assumptions);
            left.AddRange(skipped);
            ChargeSolution solution = ChargingSolver.Solve(problem);
            worth += solution.Worth;
            bound += Math.Max(solution.Worth, LinearBound.Of(problem));
            var writer = new PlanWriter(problem, solution, energy.Now, kit.Zone, LeastHours);
            steps.AddRange(writer.Steps());
            left.AddRange(writer.Left());
            budgets.Add(new BankBudget(declared.Id, new WattHours(most), new WattHours(writer.FromBankWh)));
        }

        return new ChargingPlan(
            energy.Now,
            question.Deadline,
            steps.OrderBy(step => step.From).ThenBy(step => step.Outlet).ThenBy(step => step.Load).ToValueList(),
            left.ToValueList(),
            budgets.ToValueList(),
            bound > 0 ? Math.Max(0, 1 - (worth / bound)) : 0,
            assumptions.ToValueList(),
            [SafetyWords.Packs, "Charge only batteries that feel neither cold nor hot, on something that cannot burn, with somebody near."]);
    }

    private static (ChargeProblem Problem, List<LeftOut> Left, double MostWh) Problem(
        ChargingQuestion question, BankKit bank, KitBook kit, ReadingBook readings, double hours, List<EnergyAssumption> assumptions)
    {
        double most = Math.Min(question.Budget?.Value ?? double.MaxValue, MaySpend(question, bank, readings, assumptions));
        (List<ChargeJob> jobs, List<LeftOut> left) = ChargeJobs.Of(bank, readings, question.Energy.Now, hours, assumptions);
        ChargeOutlet[] outlets = [.. kit.OutletsOf(bank.Bank).Where(outlet => outlet.Limit.Value > 0).Select(outlet => new ChargeOutlet(outlet))];
        if (outlets.Length == 0 && jobs.Count > 0)
        {
            left.AddRange(jobs.Select(job => new LeftOut(job.Load.Id, LeftOutReason.NoOutlet, new(job.NeedWh), $"{job.Load.Id}: no outlet of {bank.Bank.Id} is declared")));
            jobs.Clear();
        }

        return (new ChargeProblem(jobs, outlets, hours, most), left, most);
    }

    private static double MaySpend(ChargingQuestion question, BankKit bank, ReadingBook readings, List<EnergyAssumption> assumptions)
    {
        if (question.Outlook?.Banks.FirstOrDefault(one => one.Bank == bank.Bank.Id) is { } outlook)
        {
            return outlook.SpendableNow.Value;
        }

        StartState start = StartState.Of(bank, readings, question.Energy.Now, assumptions);
        // Without an outlook three days of life-safety are kept: own choice.
        double life = bank.Loads.Where(load => load.Class == LoadClass.LifeSafety).Sum(load => load.PerDay.Value) * 3 / bank.CapacityWh;
        return Math.Max(0, start.Charge - (1.28 * start.ChargeSd) - Math.Max(bank.Bank.Reserve.Value, Math.Min(0.5, life))) * bank.CapacityWh;
    }
}
