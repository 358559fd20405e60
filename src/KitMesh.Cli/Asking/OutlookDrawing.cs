using System.Globalization;
using KitMesh.Cli.Frame;
using KitMesh.Protocol.V1;
using Spectre.Console;

namespace KitMesh.Cli.Asking;

/// <summary>Draws an outlook for a person.</summary>
internal static class OutlookDrawing
{
    public static void Draw(DataOut output, GetOutlookResponse outlook)
    {
        output.Heading($"Outlook as of {Times.Show(outlook.AsOf)}");
        DrawBanks(output, outlook);
        DrawCharging(output, outlook);
        DrawDrives(output, outlook);
        foreach (string missing in outlook.Missing)
        {
            output.Line($"Not computed: {missing}");
        }
    }

    private static void DrawBanks(DataOut output, GetOutlookResponse outlook)
    {
        if (outlook.Banks.Count == 0)
        {
            return;
        }

        Table table = DataOut.Table("Bank", ">Charge", ">Short by last day", ">Days without sun", ">May spend", "Panels out", "Charging now");
        foreach (BankAnswer bank in outlook.Banks)
        {
            table.AddRow(
                new Text(bank.Bank),
                new Text(Times.Percent(bank.Charge)),
                new Text(Range(bank.ShortByLastDay)),
                new Text((bank.AutonomyHours / 24).ToString("0.0", CultureInfo.InvariantCulture)),
                new Text(Times.WattHours(bank.SpendableWattHours)),
                new Text(bank.PanelOutDay.Length == 0 ? "no day pays" : bank.PanelOutDay),
                new Text(Readiness(bank.Readiness)));
        }

        output.Draw(table);
        foreach (BankAnswer bank in outlook.Banks)
        {
            output.Line($"{bank.Bank}: {bank.ReadinessWords}");
        }

        foreach (string caution in outlook.Banks.SelectMany(bank => bank.Cautions).Distinct(StringComparer.Ordinal))
        {
            output.Line($"Caution: {caution}");
        }

        output.Line();
    }

    private static void DrawCharging(DataOut output, GetOutlookResponse outlook)
    {
        if (outlook.Charging.Count == 0)
        {
            return;
        }

        output.Heading("Tonight's charging");
        foreach (ChargingLine line in outlook.Charging)
        {
            output.Line($"  {line.Words}");
        }

        output.Line();
    }

    private static void DrawDrives(DataOut output, GetOutlookResponse outlook)
    {
        if (outlook.Drives.Count > 0)
        {
            Table table = DataOut.Table("Drive", ">Free", "Fills on", ">Chance that it fills");
            foreach (DriveAnswer drive in outlook.Drives)
            {
                table.AddRow(
                    new Text(drive.Drive),
                    new Text(Times.Bytes(drive.FreeBytes)),
                    new Text(drive.FillsOn.Length == 0 ? "lasts" : drive.FillsOn),
                    new Text(Times.Percent(drive.FillsChance)));
            }

            output.Draw(table);
        }

        if (outlook.AnyClipLost is { } lost)
        {
            output.Line($"Chance that any clip is lost by the last day: {Range(lost)}. {lost.Assuming}");
        }
    }

    private static string Range(Chance? chance) =>
        chance is null ? "not known"
        : Times.Percent(chance.Low) == Times.Percent(chance.High) ? Times.Percent(chance.Best)
        : $"{Times.Percent(chance.Low)} to {Times.Percent(chance.High)}";

    private static string Readiness(string word) => word switch
    {
        "READY" => "ready",
        "SLOW_ONLY" => "slowly only",
        "WARM_FIRST" => "warm first",
        "TOO_HOT" => "too hot",
        "NO_TEMPERATURE" => "not known: measure",
        _ => word,
    };
}
