using KitMesh.Demo.Power;

namespace KitMesh.Demo.Devices;

/// <summary>What the demo's charge controller answers on its Modbus socket.</summary>
public static class ChargeControllerRegisters
{
    /// <summary>Address of the first register.</summary>
    public const int BaseAddress = ChargeControllerMap.BaseAddress;

    /// <summary>The registers of the moment.</summary>
    /// <param name="bank">The bank that it charges.</param>
    public static ushort[] Of(BankTruth bank) => ChargeControllerMap.Registers(bank);
}
