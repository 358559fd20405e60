using KitMesh.Demo.Power;
using KitMesh.Domain;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Reports;

namespace KitMesh.Cli.Commands.Bench;

/// <summary>How far one figure of one thing is from its truth, as declared and as learnt: logarithms of the ratio.</summary>
/// <param name="Figure">Which figure.</param>
/// <param name="Declared">Declared over true.</param>
/// <param name="Learnt">Learnt over true.</param>
internal sealed record KitMiss(string Figure, double Declared, double Learnt)
{
    /// <summary>The misses of a kit in the demo's world.</summary>
    public static IEnumerable<KitMiss> Of(ValueList<KitItem> declared, ValueList<KitItem> learnt, EnergyWorld world)
    {
        foreach (Bank bank in declared.OfType<Bank>())
        {
            BankTruth truth = world.At(bank.Id, world.Scene.Start);
            foreach (LoadTruth load in truth.Loads)
            {
                double real = load.WattHoursPerDay / PlayedBank.OutletShare;
                yield return Miss("load, Wh a day", declared.OfType<Load>(), learnt.OfType<Load>(), one => one.Id == load.Declared.Id, one => one.PerDay.Value / real);
            }

            foreach (PanelTruth panel in truth.Panels)
            {
                yield return Miss("panel, share of rated", declared.OfType<Panel>(), learnt.OfType<Panel>(), one => one.Id == panel.Declared.Id, one => one.Derate / panel.Derate);
            }

            if (bank.Box is { } box)
            {
                yield return Miss("box, heat loss", declared.OfType<Box>(), learnt.OfType<Box>(), one => one.Id == box, one => one.Loss.Value / truth.LossWattsPerKelvin);
                yield return Miss("box, heat capacity", declared.OfType<Box>(), learnt.OfType<Box>(), one => one.Id == box, one => one.Capacity.Value / truth.JoulesPerKelvin);
            }
        }
    }

    /// <summary>The declared kit with the figures that it really has in the demo's world.</summary>
    public static ValueList<KitItem> Exact(ValueList<KitItem> declared, EnergyWorld world)
    {
        BankTruth[] truths = [.. declared.OfType<Bank>().Select(bank => world.At(bank.Id, world.Scene.Start))];
        Dictionary<KitId, double> loads = truths.SelectMany(truth => truth.Loads).ToDictionary(load => load.Declared.Id, load => load.WattHoursPerDay / PlayedBank.OutletShare);
        Dictionary<KitId, double> panels = truths.SelectMany(truth => truth.Panels).ToDictionary(panel => panel.Declared.Id, panel => panel.Derate);
        Dictionary<KitId, BankTruth> boxes = declared.OfType<Bank>().Zip(truths).Where(bank => bank.First.Box is not null).ToDictionary(bank => bank.First.Box!.Value, bank => bank.Second);
        return declared.Select(item => item switch
        {
            Load load when loads.TryGetValue(load.Id, out double perDay) => load with { PerDay = new(perDay) },
            Panel panel when panels.TryGetValue(panel.Id, out double derate) => panel with { Derate = derate },
            Box box when boxes.TryGetValue(box.Id, out BankTruth? truth) => box with { Loss = new(truth.LossWattsPerKelvin), Capacity = new(truth.JoulesPerKelvin) },
            _ => item,
        }).ToValueList();
    }

    /// <summary>Root mean square and mean of the misses, by figure.</summary>
    public static IEnumerable<object> Sum(IEnumerable<KitMiss> misses) => misses.GroupBy(miss => miss.Figure).Select(figure => new
    {
        figure = figure.Key,
        things = figure.Count(),
        declaredOff = Math.Sqrt(figure.Average(miss => miss.Declared * miss.Declared)),
        learntOff = Math.Sqrt(figure.Average(miss => miss.Learnt * miss.Learnt)),
        declaredLeans = figure.Average(miss => miss.Declared),
        learntLeans = figure.Average(miss => miss.Learnt),
    });

    private static KitMiss Miss<T>(string figure, IEnumerable<T> declared, IEnumerable<T> learnt, Func<T, bool> which, Func<T, double> ratio) =>
        new(figure, Math.Log(ratio(declared.Single(which))), Math.Log(ratio(learnt.Single(which))));
}
