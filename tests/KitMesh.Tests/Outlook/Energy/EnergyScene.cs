using KitMesh.Domain;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using NodaTime;

namespace KitMesh.Tests.Outlook.Energy;

/// <summary>A small invented camp for energy tests.</summary>
internal static class EnergyScene
{
    public static readonly KitId BankId = KitId.Parse("ridge bank");
    public static readonly KitId PanelId = KitId.Parse("ridge panel");
    public static readonly KitId PlaceId = KitId.Parse("ridge camp");
    public static readonly Instant Evening = Instant.FromUtc(2027, 2, 11, 14, 0);
    private static readonly KitId TeamId = KitId.Parse("ridge team");
    private static readonly KitId BoxId = KitId.Parse("ridge box");

    public static IReadOnlyList<KitItem> Kit { get; } =
    [
        new Trip(KitId.Parse("trip"), new LocalDate(2027, 2, 8), new LocalDate(2027, 2, 20), Offset.FromHours(6)),
        new Place(PlaceId, new(41.95), new(77.7), new(4350), new(-31), new(-9), 0.66, 0.7, ValueList<HorizonPoint>.Empty),
        new Team(TeamId, PlaceId),
        new Bank(BankId, TeamId, BoxId, new(0.9), new(0.2), new(75), new(15)),
        new Pack(KitId.Parse("ridge pack"), BankId, Chemistry.Lfp, 4, new(60), new Ohms(0.02), null, null, null, new Kilograms(7)),
        new Box(BoxId, new(0.12), new(9000), new(10), new(4), new(8)),
        new Panel(PanelId, BankId, new(120), new(65), new(190), -0.004, 0.75, new Volts(21.6), null),
        Load("ridge messenger", LoadClass.LifeSafety, 1, 5),
        Load("ridge camera", LoadClass.Work, 1, 70),
        Load("ridge drone", LoadClass.Work, 2, 75),
        Load("ridge lights", LoadClass.Comfort, 1, 20),
    ];

    public static EnergyQuestion Question(params ReadOnlySpan<TimedReading> readings) =>
        new(Evening, Kit.ToValueList(), ValueList.Create(readings), ValueList<SkyForecast>.Empty, 1, 2_000);

    public static EnergyQuestion With(this EnergyQuestion question, Func<KitItem, KitItem?> change) =>
        question with { Kit = question.Kit.Select(change).OfType<KitItem>().ToValueList() };

    public static TimedReading Battery(
        double hoursAgo, double? volts = null, double? amperes = null, double? charge = null, double? celsius = null, bool rested = false, double? watts = null) =>
        new(
            Evening - Duration.FromHours(hoursAgo),
            new BatteryReading(
                BankId,
                volts is { } v ? new Volts(v) : null,
                amperes is { } a ? new Amperes(a) : null,
                watts is { } w ? new Watts(w) : null,
                charge is { } c ? new StateOfCharge(c) : null,
                celsius is { } t ? [new Celsius(t)] : [],
                Rested: rested));

    private static Load Load(string name, LoadClass kind, int priority, double perDay) =>
        new(KitId.Parse(name), TeamId, BankId, kind, priority, new(perDay), 0.3, new WattHours(100), new Watts(40), Chemistry.Nmc);
}
