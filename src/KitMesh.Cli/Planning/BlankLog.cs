using KitMesh.Cli.Frame;
using KitMesh.Domain.Kit;
using NodaTime;
using NodaTime.Text;

namespace KitMesh.Cli.Planning;

/// <summary>A log sheet for a phone-less evening: what a multimeter, a thermometer and a pencil can tell, to be typed in later.</summary>
internal static class BlankLog
{
    private static readonly LocalDatePattern Day = LocalDatePattern.CreateWithInvariantCulture("ddd uuuu-MM-dd");

    public static void Draw(DataOut output, IReadOnlyList<KitItem> kit)
    {
        Trip trip = kit.OfType<Trip>().Single();
        output.Line($"{trip.Id}: log sheet. Volts at rest (no charger, no load for an hour), coldest probe, hours of sun on the panel.");
        output.Line("Never charge a cold pack: the limit is on its maker's sheet. Type it in at the hub's page or with an agent's typed reader (docs/readers.md).");
        foreach (Bank bank in kit.OfType<Bank>())
        {
            output.Line();
            output.Line($"{bank.Team}, {bank.Id}   written by ________________");
            output.Line("day              time   rested V   coldest °C   sun h   swapped, handed over, noted");
            for (LocalDate day = trip.FirstDay; day <= trip.LastDay; day = day.PlusDays(1))
            {
                output.Line($"{Day.Format(day)}   __:__  ________   __________   _____   ______________________________________");
            }
        }
    }
}
