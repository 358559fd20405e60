using KitMesh.Domain.Kit;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using KitMesh.Models.Battery;
using KitMesh.Models.Box;

namespace KitMesh.Outlook.Energy;

/// <summary>One bank with everything that hangs on it, and its packs as one model pack.</summary>
internal sealed record BankKit(
    Bank Bank,
    IReadOnlyList<Pack> Packs,
    Box? Box,
    IReadOnlyList<Panel> Panels,
    IReadOnlyList<Load> Loads,
    PackModel Model,
    ChargeLimits Limits,
    BoxModel Thermal,
    bool ThermalGuessed)
{
    internal double CapacityWh => Model.Energy.Value;

    internal double LoadMeanWatts => Loads.Sum(load => load.PerDay.Value) / 24;

    internal double PanelWatts => Panels.Sum(panel => panel.Rated.Value * panel.Derate);

    /// <summary>The most that panels and cells allow.</summary>
    internal double MostChargeWatts => Math.Min(PanelWatts, Limits.Zones.Max(zone => zone.MaxRate) * CapacityWh);

    /// <summary>State of charge at which the voltage limit is met at the power that the panels can give; 1 where it never is.</summary>
    internal double TaperFrom()
    {
        var cool = new Celsius(10);
        if (PanelWatts <= 0 || Model.Limits.MaxPackVolts(Model.Pack.Series, cool) is not { } limit)
        {
            return 1;
        }

        double drop = MostChargeWatts / Math.Max(1, Model.OpenCircuit(new(0.9)).Value) * Model.Resistance(cool).Value;
        double full = 1;
        while (full > 0.7 && Model.OpenCircuit(new(full)).Value + drop > limit.Value)
        {
            full -= 0.005;
        }

        return full;
    }

    /// <summary>The bank's kit, or null with an assumption when there is nothing to compute with.</summary>
    internal static BankKit? Of(Bank bank, KitBook kit, List<EnergyAssumption> assumptions)
    {
        IReadOnlyList<Pack> packs = kit.PacksOf(bank);
        if (packs.Count == 0 || packs.Any(pack => !(pack.Capacity.Value > 0) || pack.Series < 1))
        {
            assumptions.Add(new EnergyAssumption(bank.Id, "nothing: the bank is left out", "no pack with a capacity and a cell count is declared for it", true));
            return null;
        }

        if (packs.Any(pack => pack.Chemistry == Chemistry.Unknown))
        {
            assumptions.Add(new EnergyAssumption(bank.Id, "the strictest charge limits and a wide voltage table", "a pack's chemistry is not told", true));
        }

        Box? box = kit.BoxOf(bank);
        BoxModel thermal = Lump(box, packs, out bool guessed);
        if (guessed)
        {
            assumptions.Add(new EnergyAssumption(
                bank.Id, "packs in the open: 1,000 J/(kg K) and the loss of a body of their size", "no box with C and UA is declared", true));
        }

        return new BankKit(bank, packs, box, kit.PanelsOf(bank), kit.LoadsOf(bank), new PackModel(Whole(bank, packs)), ChargeLimits.ForAll(packs), thermal, guessed);
    }

    /// <summary>The bank as it is now: what the readings showed of its cells' fade.</summary>
    internal BankKit Faded(double factor) => factor < 1 ? this with { Model = new PackModel(Model.Pack with { Capacity = Model.Pack.Capacity * factor }) } : this;

    /// <summary>Current of the whole bank from the current of one pack: packs in parallel share by capacity.</summary>
    internal Amperes Whole(KitId subject, Amperes amperes) =>
        Packs.FirstOrDefault(pack => pack.Id == subject) is { } one && Packs.Count > 1
            ? amperes * (Model.Pack.Capacity / one.Capacity)
            : amperes;

    private static Pack Whole(Bank bank, IReadOnlyList<Pack> packs)
    {
        Pack first = packs[0];
        double conductance = packs.Sum(pack => 1 / new PackModel(pack).ResistanceAt25.Value);
        bool mixed = packs.Any(pack => pack.Chemistry != first.Chemistry);
        return first with
        {
            Id = bank.Id,
            Chemistry = mixed ? Chemistry.Unknown : first.Chemistry,
            Capacity = new AmpereHours(packs.Sum(pack => pack.Capacity.Value * pack.Series / first.Series)),
            Resistance = new Ohms(1 / conductance),
        };
    }

    // Without a box: mass from 120 Wh/kg where it is not told, 1,000 J/(kg K) (literature 800 to 1,130), a loss of 8 W/(m2 K) over the surface of a body of 2 kg/l.
    private static BoxModel Lump(Box? box, IReadOnlyList<Pack> packs, out bool guessed)
    {
        guessed = box is not { Capacity.Value: > 0, Loss.Value: > 0 };
        if (!guessed)
        {
            return new BoxModel(box!.Capacity, box.Loss);
        }

        double mass = packs.Sum(pack => pack.Mass?.Value ?? (new PackModel(pack).Energy.Value / 120));
        double surface = 6 * Math.Pow(mass / 2000, 2.0 / 3);
        return new BoxModel(new JoulesPerKelvin(Math.Max(200, mass * 1000)), new WattsPerKelvin(Math.Max(0.02, 8 * surface)));
    }
}
