using KitMesh.Alerts.Rules.Media;
using KitMesh.Alerts.Rules.Mesh;
using KitMesh.Alerts.Rules.Packs;

namespace KitMesh.Alerts;

/// <summary>Every alert rule, in the order of the documentation. A new rule is one file and one line here.</summary>
public static class AlertCatalogue
{
    /// <summary>What an agent judges by itself at each reading, hub or no hub.</summary>
    public static IReadOnlyList<IAlertRule> Guard { get; } =
    [
        new ChargingTooCold(),
        new ChargeCurrentHigh(),
        new PackVoltsHigh(),
        new PackHot(),
        new CellSpread(),
        new ChargingUnwatched(),
    ];

    /// <summary>What a hub judges: the guard's rules and those that need more than one device.</summary>
    public static IReadOnlyList<IAlertRule> All { get; } =
    [
        .. Guard,
        new PackColdForCharging(),
        new AgentSilent(),
        new ClockWrong(),
        new ReaderFaulty(),
        new OriginForked(),
        new SealsDoNotFit(),
        new DriveNearlyFull(),
        new CopyNotGood(),
        new CardHeldPastEvening(),
        new CardFormattedOnHold(),
        new ClipOdd(),
        new DayInOneCase(),
        new SingleCopyAtNightfall(),
        new RoomRunsOut(),
        new RecheckOverdue(),
        new DriveFailing(),
        new DriveHot(),
        new DriveUnseen(),
        new DriveInDoubt(),
    ];
}
