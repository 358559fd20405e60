using KitMesh.Demo.Power;

namespace KitMesh.Demo.Devices;

/// <summary>
/// The demo's charge controller as SunSpec models: 1 (who it is), 160 (one module a panel), one model of an invented vendor that
/// a reader must step over by its length, and 802 (the battery). Layout after the SunSpec Alliance's published model
/// definitions (models 1, 160 and 802), end marker 0xFFFF.
/// </summary>
internal static class ChargeControllerMap
{
    /// <summary>Where the marker stands; one of the three places that SunSpec names.</summary>
    public const int BaseAddress = 40000;

    private const int NotImplemented = 0xFFFF;
    private const int NotImplementedSigned = 0x8000;

    public static ushort[] Registers(BankTruth bank)
    {
        var block = new RegisterBlock();
        block.Text("SunS", 2);
        Common(block);
        Trackers(block, bank);
        block.Word(64998).Word(5).Words(0x1234, 5);
        Battery(block, bank);
        block.Word(0xFFFF).Word(0);
        return [.. block.Registers];
    }

    private static void Common(RegisterBlock block) =>
        block.Word(1).Word(66)
            .Text("Demo workshop", 16)
            .Text("Two-input controller", 16)
            .Text("", 8)
            .Text("1.0", 8)
            .Text("0001", 16)
            .Word(1)
            .Word(NotImplementedSigned);

    private static void Trackers(RegisterBlock block, BankTruth bank)
    {
        block.Word(160).Word(8 + (20 * bank.Panels.Count))
            .Word(-2).Word(-2).Word(0).Word(0)
            .Long(0)
            .Word(bank.Panels.Count)
            .Word(NotImplemented);
        for (int i = 0; i < bank.Panels.Count; i++)
        {
            PanelTruth panel = bank.Panels[i];
            double amperes = panel.Volts > 1 ? panel.Watts / panel.Volts : 0;
            block.Word(i + 1)
                .Text(panel.Declared.Id.Value, 8)
                .Scaled(amperes, -2, 0, 0xFFFE)
                .Scaled(panel.Volts, -2, 0, 0xFFFE)
                .Scaled(panel.Watts, 0, 0, 0xFFFE)
                .Long((long)panel.YieldWattHours)
                .Long(0xFFFFFFFF)
                .Word(NotImplementedSigned)
                .Word(panel.Watts > 1 ? 4 : 2)
                .Long(0);
        }
    }

    private static void Battery(RegisterBlock block, BankTruth bank)
    {
        // ChaSt: 3 discharging, 4 charging, 5 full, 6 holding.
        int state = bank.Charge > 0.995 ? 5 : bank.Watts > 1 ? 4 : bank.Watts < -1 ? 3 : 6;
        double cellVolts = bank.Volts / bank.Series;
        block.Word(802).Word(62)
            .Scaled(bank.CapacityAmpereHours, 0, 0, 0xFFFE)
            .Scaled(bank.CapacityAmpereHours * 12.8, 0, 0, 0xFFFE)
            .Word(1000).Word(1000)
            .Words(NotImplemented, 5)
            .Scaled(bank.Charge * 100, -1, 0, 1000)
            .Words(NotImplemented, 2)
            .Long(0xFFFFFFFF)
            .Word(state)
            .Word(1)
            .Words(NotImplemented, 2)
            .Word(0)
            .Word(4)
            .Word(3)
            .Word(NotImplemented)
            .Long(0xFFFFFFFF)
            .Long(0).Long(0).Long(0).Long(0)
            .Scaled(bank.Volts, -2, 0, 0xFFFE)
            .Words(NotImplemented, 2)
            .Scaled(cellVolts + 0.008, -3, 0, 0xFFFE)
            .Words(NotImplemented, 2)
            .Scaled(cellVolts - 0.008, -3, 0, 0xFFFE)
            .Words(NotImplemented, 3)
            .Scaled(bank.Amperes, -2, -0x7FFF, 0x7FFF)
            .Words(NotImplemented, 2)
            .Scaled(bank.Watts, 0, -0x7FFF, 0x7FFF)
            .Words(NotImplemented, 1)
            .Word(NotImplementedSigned)
            .Word(1).Word(2)
            .Word(0).Word(0).Word(0).Word(NotImplementedSigned).Word(-1)
            .Word(NotImplementedSigned).Word(NotImplementedSigned)
            .Word(-2).Word(-3).Word(-2).Word(NotImplementedSigned).Word(0);
    }
}
