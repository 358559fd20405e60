using System.Globalization;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Results;
using NodaTime;

namespace KitMesh.Outlook.Charging;

/// <summary>Turns a solution into lines that a person follows by headlamp.</summary>
internal sealed class PlanWriter(ChargeProblem problem, ChargeSolution solution, Instant now, Offset zone, double leastHours)
{
    private readonly HashSet<int> _done = [];

    /// <summary>Energy that the written steps take from the bank; filled by <see cref="Steps"/>.</summary>
    internal double FromBankWh { get; private set; }

    internal List<ChargingStep> Steps()
    {
        var steps = new List<ChargingStep>();
        for (int o = 0; o < problem.Outlets.Count; o++)
        {
            int[] here =
            [
                .. Enumerable.Range(0, problem.Jobs.Count)
                    .Where(job => solution.Outlet[job] == o && Hours(job, o) >= Math.Min(leastHours, problem.Jobs[job].NeedWh / Rate(job, o)) - 1e-9 && Hours(job, o) > 0)
                    .OrderBy(job => problem.Jobs[job].ReadyH).ThenBy(job => job),
            ];
            double clock = 0;
            foreach (int job in here)
            {
                double from = Math.Max(clock, problem.Jobs[job].ReadyH);
                double until = from + Hours(job, o);
                clock = until;
                _done.Add(job);
                if (problem.Jobs[job].WarmReason is { } reason)
                {
                    steps.Add(Warm(problem.Jobs[job], reason));
                }

                steps.Add(Charge(job, o, from, until));
            }
        }

        return steps;
    }

    internal IEnumerable<LeftOut> Left()
    {
        for (int job = 0; job < problem.Jobs.Count; job++)
        {
            ChargeJob one = problem.Jobs[job];
            double missing = one.NeedWh - (_done.Contains(job) ? solution.IntoWh[job] : 0);
            if (missing <= 0.01 * one.NeedWh + 1e-6)
            {
                continue;
            }

            string wh = missing.ToString("0", CultureInfo.InvariantCulture);
            string cause = solution.EnergyBinds && !one.IsLifeSafety ? "the energy that may be spent goes to what matters more" : "no outlet is free long enough before the deadline";
            LeftOutReason reason = _done.Contains(job) ? LeftOutReason.Partly : solution.EnergyBinds && !one.IsLifeSafety ? LeftOutReason.EnergyShort : LeftOutReason.OutletsBusy;
            yield return new LeftOut(one.Load.Id, reason, new WattHours(missing), $"{one.Load.Id} lacks {wh} Wh afterwards: {cause}");
        }
    }

    private double Rate(int job, int outlet) => problem.Outlets[outlet].Rate(problem.Jobs[job]);

    private double Hours(int job, int outlet) => solution.IntoWh[job] / Rate(job, outlet);

    private ChargingStep Charge(int job, int outlet, double from, double until)
    {
        ChargeJob one = problem.Jobs[job];
        double into = solution.IntoWh[job];
        double fromBank = into * problem.Outlets[outlet].FromBankPerWh;
        FromBankWh += fromBank;
        StateOfCharge? after = one.Charge is { } charge ? new StateOfCharge(Math.Min(1, charge + (into / one.Load.Battery!.Value.Value))) : null;
        string end = after is { } soc ? FormattableString.Invariant($", then about {soc.Value * 100:0} %") : "";
        return new ChargingStep(
            ChargingStepKind.Charge,
            problem.Outlets[outlet].Outlet.Id,
            one.Load.Id,
            At(from),
            At(until),
            new Watts(problem.Outlets[outlet].PlugWatts(one)),
            new WattHours(fromBank),
            new WattHours(into),
            after,
            FormattableString.Invariant($"{Clock(from)} to {Clock(until)} {problem.Outlets[outlet].Outlet.Id}: {one.Load.Id}, {fromBank:0} Wh from the bank{end}"));
    }

    private ChargingStep Warm(ChargeJob job, string reason) => new(
        ChargingStepKind.Warm,
        null,
        job.Load.Id,
        now,
        At(job.ReadyH),
        new Watts(0),
        new WattHours(0),
        new WattHours(0),
        job.Charge is { } charge ? new StateOfCharge(charge) : null,
        $"now to {Clock(job.ReadyH)}: warm the battery of {job.Load.Id} inside clothing or a warm tent ({reason}); charge it only when it no longer feels cold");

    private Instant At(double hours) => now + Duration.FromMinutes(Math.Round(hours * 60));

    private string Clock(double hours) => At(hours).WithOffset(zone).TimeOfDay.ToString("HH:mm", CultureInfo.InvariantCulture);
}
