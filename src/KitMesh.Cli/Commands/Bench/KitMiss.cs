using KitMesh.Demo.Power;
using KitMesh.Domain;
using KitMesh.Domain.Kit;

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
