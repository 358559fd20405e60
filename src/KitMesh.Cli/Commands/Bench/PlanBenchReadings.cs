using KitMesh.Demo.Power;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using NodaTime;

namespace KitMesh.Cli.Commands.Bench;

/// <summary>What agents would have told of a played trip: every half hour, every device metered.</summary>
internal static class PlanBenchReadings
{
    public static IEnumerable<TimedReading> Of(EnergyWorld world, IReadOnlyCollection<KitItem> kit, Instant end)
    {
        for (Instant at = world.Scene.Start; at <= end; at += Duration.FromMinutes(30))
        {
            foreach (Bank bank in kit.OfType<Bank>())
            {
                BankTruth truth = world.At(bank.Id, at);
                yield return new TimedReading(at, new BatteryReading(
                    bank.Id, new Volts(truth.Volts), new Amperes(truth.Amperes), new Watts(truth.Watts), new StateOfCharge(truth.Charge), [new Celsius(truth.CellCelsius)]));
                foreach (PanelTruth panel in truth.Panels)
                {
                    yield return new TimedReading(at, new PanelReading(panel.Declared.Id, null, null, new Watts(panel.Watts), new WattHours(panel.YieldWattHours)));
                }

                foreach (LoadTruth load in truth.Loads)
                {
                    // What it takes from the bank, the outlet's loss included.
                    yield return new TimedReading(at, new LoadReading(load.Declared.Id, load.Activity, load.OwnCharge is { } own ? new StateOfCharge(own) : null, null, new WattHours(load.TotalWattHours / 0.9), null));
                }

                if (world.Scene.Trip is not null && kit.OfType<Team>().FirstOrDefault(team => team.Id == bank.Team) is { } team)
                {
                    yield return new TimedReading(at, new TemperatureReading(team.Home, "air", new Celsius(truth.AirCelsius)));
                }
            }
        }
    }
}
