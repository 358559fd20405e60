using KitMesh.Domain;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Results;

namespace KitMesh.Outlook.Energy;

// Problem: "68 %" means little to a camera assistant; "nine of fourteen days" does.
// Method: find the energy a day for all loads together that lasts to the last day in nine cases of ten (WhatIfs.SustainableWh), serve life-safety first,
// then work and comfort in their order, and turn each load's share into its days.

/// <summary>Turns the energy into days of each device's work, the most important first.</summary>
internal static class WorkBudget
{
    internal static ValueList<WorkMeasure> Of(BankCases cases, double sustainableWh, int days)
    {
        double left = sustainableWh - cases.LifeWh;
        var measures = new List<WorkMeasure>();
        foreach (Load load in cases.Bank.Loads.Where(load => load.Class != LoadClass.LifeSafety))
        {
            double perDay = cases.Beliefs.Loads[load.Id].MeanWh;
            double share = perDay > 0 ? Math.Clamp(left / perDay, 0, 1) : 1;
            left -= share * perDay;
            double worked = share * days;
            measures.Add(new WorkMeasure(
                load.Id,
                new WattHours(perDay),
                worked,
                days,
                FormattableString.Invariant($"{load.Id}: {Math.Floor(worked + 1e-9):0} of {days} days at {perDay:0} Wh a day, in nine cases of ten")));
        }

        return measures.ToValueList();
    }
}
