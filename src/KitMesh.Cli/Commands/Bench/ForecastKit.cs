using KitMesh.Domain;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Reports;
using NodaTime;

namespace KitMesh.Cli.Commands.Bench;

/// <summary>The invented kit of the back-test, as its trip file says.</summary>
internal static class ForecastKit
{
    public static readonly KitId BankId = KitId.Parse("trial bank");

    public static ValueList<KitItem> Make(Place place, LocalDate first, int days)
    {
        KitId team = KitId.Parse("trial team");
        KitId box = KitId.Parse("trial box");
        return
        [
            new Trip(KitId.Parse("trial"), first, first.PlusDays(days - 1), Offset.Zero),
            place,
            new Team(team, place.Id),
            new Bank(BankId, team, box, new(0.75), new(0.2), null, new(25)),
            new Pack(KitId.Parse("trial pack"), BankId, Chemistry.Lfp, 4, new(100), new(0.012), null, null, null, new(11)),
            new Box(box, new(0.15), new(14_000), new(15), new(5), new(9)),
            new Panel(KitId.Parse("trial panel"), BankId, new(160), new(55), new(180), -0.004, 0.8, null, null),
            new Load(KitId.Parse("trial load"), team, BankId, LoadClass.Work, 1, new(230), 0.25, null, null, Chemistry.Unknown),
        ];
    }
}
