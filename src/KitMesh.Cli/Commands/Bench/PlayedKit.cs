using KitMesh.Domain;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Quantities;

namespace KitMesh.Cli.Commands.Bench;

// Problem: the demo's world and a plan must mean the same by a trip file, else their chances cannot be held against each other.
// Trap: the demo's devices take a ninth more from the bank than the file says, because it reads "a day" at the plug (docs/trip-file.md says: from the bank), and its crew stops
// work two points above the reserve, so that hardly a bank ever comes below it.
// Method: the world gets the same kit with nine tenths of each load, so that on the average the bank gives what the file declares, and with a reserve two points lower, so that
// its crew stops at the declared one. What each device, panel, box and pack really does is the world's own draw.

/// <summary>A trip file's kit as the demo's world must be told it.</summary>
internal static class PlayedKit
{
    /// <summary>As the trip file means it.</summary>
    public static ValueList<KitItem> Of(ValueList<KitItem> kit) =>
        AtThePlug(kit).Select(item => item is Load load ? load with { PerDay = load.PerDay * PlayedBank.OutletShare } : item).ToValueList();

    /// <summary>As somebody means it who reads each device's plate: the bank gives a ninth more.</summary>
    public static ValueList<KitItem> AtThePlug(ValueList<KitItem> kit) =>
        kit.Select(item => item is Bank bank ? bank with { Reserve = new StateOfCharge(bank.Reserve.Value - PlayedBank.CrewStops) } : item).ToValueList();
}
