using KitMesh.Domain;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Planning;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Models.Battery;

namespace KitMesh.Outlook.Plan;

/// <summary>What the passenger rules say of every battery, by who carries it. Nothing here is a permission: the operator decides.</summary>
/// <remarks>
/// The rules count label energy, volts times ampere-hours. Nominal cell volts: common practice, no published source (lithium 3.65, lithium iron
/// phosphate 3.2, nickel metal hydride 1.2, lead 2). A team's devices are shared out evenly over its people.
/// </remarks>
internal static class PlanAir
{
    internal static IEnumerable<AirRow> Of(ValueList<KitItem> kit, PlanExtras extras)
    {
        Dictionary<KitId, int> people = kit.OfType<Person>().GroupBy(person => person.Team).ToDictionary(group => group.Key, group => group.Count());
        Dictionary<KitId, KitId> teams = kit.OfType<Bank>().ToDictionary(bank => bank.Id, bank => bank.Team);
        int Shared(KitId? carrier, int count) => carrier is { } team && people.TryGetValue(team, out int among) ? (count + among - 1) / among : count;

        foreach (IGrouping<KitId, Load> team in kit.OfType<Load>().Where(load => load.Battery is { Value: > 0 } && load.Chemistry is not (Chemistry.LeadAcid or Chemistry.NiMh)).GroupBy(load => load.Team))
        {
            // Devices of one size class count together: the rule counts devices, not kinds.
            int count = Shared(team.Key, team.Count());
            foreach (Load load in team)
            {
                yield return Row(team.Key, load.Id, load.Battery!.Value, AirKind.Installed, count);
            }
        }

        foreach (Pack pack in kit.OfType<Pack>().Where(pack => pack.Chemistry is not (Chemistry.LeadAcid or Chemistry.NiMh)))
        {
            KitId? team = pack.Bank is { } bank && teams.TryGetValue(bank, out KitId its) ? its : null;
            yield return Row(team, pack.Id, LabelEnergy(pack), AirKind.Spare, 1);
        }

        foreach (IGrouping<(KitId? Carrier, GearKind Kind), Gear> group in extras.Gear.Where(gear => gear.Energy is not null && gear.Kind is GearKind.SpareBattery or GearKind.PowerBank).GroupBy(gear => (gear.Carrier, gear.Kind)))
        {
            AirKind kind = group.Key.Kind == GearKind.PowerBank ? AirKind.PowerBank : AirKind.Spare;
            int count = Shared(group.Key.Carrier, group.Sum(gear => gear.Count));
            foreach (Gear gear in group)
            {
                yield return Row(group.Key.Carrier, gear.Name, gear.Energy!.Value, kind, count);
            }
        }
    }

    /// <summary>Energy as the label states it.</summary>
    internal static WattHours LabelEnergy(Pack pack) => new(pack.Capacity.Value * pack.Series * (pack.Chemistry switch
    {
        Chemistry.Lfp => 3.2,
        Chemistry.NiMh => 1.2,
        Chemistry.LeadAcid => 2.0,
        _ => 3.65,
    }));

    private static AirRow Row(KitId? carrier, KitId item, WattHours each, AirKind kind, int count)
    {
        AirAnswer answer = AirRules.For(each, kind, count);
        return new AirRow(carrier, item, each, kind, count, answer.Verdict, answer.Reason, answer.RuleDate);
    }
}
