using System.Globalization;
using Google.Protobuf.WellKnownTypes;
using KitMesh.Cli.Frame;
using KitMesh.Domain.Results;
using KitMesh.Protocol.V1;
using Spectre.Console;

namespace KitMesh.Cli.Asking;

/// <summary>Draws an outlook for a person.</summary>
internal static class OutlookDrawing
{
    public static void Draw(DataOut output, GetOutlookResponse outlook)
    {
        output.Heading($"Outlook, {new CrewClock(outlook.Zone).Heading(outlook.AsOf)}");
        foreach (string missing in outlook.Missing)
        {
            output.Paragraph($"Not computed: {missing}");
        }

        DrawBanks(output, outlook);
        DrawCharging(output, outlook);
        DrawDrives(output, outlook);
        DrawCautions(output, outlook);
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
                new Text(Figures.Percent(bank.Charge)),
                new Text(Figures.Chance(bank.ShortByLastDay)),
                new Text((bank.AutonomyHours / 24).ToString("0.0", CultureInfo.InvariantCulture)),
                new Text(Figures.WattHours(bank.SpendableWattHours)),
                new Text(bank.PanelOutDay.Length == 0 ? "no day pays" : bank.PanelOutDay),
                new Text(Readiness(bank.Readiness)));
        }

        output.Draw(table);
        foreach (BankAnswer bank in outlook.Banks)
        {
            output.Paragraph($"{bank.Bank}: {PackCaution.Without(bank.ReadinessWords)}", indent: 2);
            foreach (string plan in Plans(outlook.Document, bank))
            {
                output.Paragraph(plan, indent: 4);
            }
        }

        output.Line();
    }

    // When the panels go out, how to run the heater, and what the first paying day brings after the heat that goes ahead of the sun.
    // The document alone carries these; a hub that says none of it leaves the lines out.
    private static IEnumerable<string> Plans(Struct? document, BankAnswer bank)
    {
        Struct? whole = Items(Inner(document, "energy"), "banks").FirstOrDefault(one => Said(one, "bank") == bank.Bank);
        Struct? day = bank.PanelOutDay.Length == 0 ? null : Items(whole, "panels").FirstOrDefault(one => Said(one, "day") == bank.PanelOutDay);
        string first = Said(day, "words");
        return new[]
        {
            Said(Inner(whole, "panelPolicy"), "words"),
            first.Length == 0 ? "" : $"{bank.PanelOutDay}: {first}.",
            Said(Inner(whole, "heater"), "words"),
        }.Where(words => words.Length > 0);
    }

    private static Struct? Inner(Struct? from, string name) => from is not null && from.Fields.TryGetValue(name, out Value? value) ? value.StructValue : null;

    private static IEnumerable<Struct> Items(Struct? from, string name) =>
        from is not null && from.Fields.TryGetValue(name, out Value? value) && value.ListValue is { } list
            ? list.Values.Select(item => item.StructValue).OfType<Struct>()
            : [];

    private static string Said(Struct? from, string name) => from is not null && from.Fields.TryGetValue(name, out Value? value) ? value.StringValue : "";

    private static void DrawCharging(DataOut output, GetOutlookResponse outlook)
    {
        if (outlook.ChargingList.Count == 0)
        {
            return;
        }

        output.Heading("Tonight's charging");
        foreach (string line in outlook.ChargingList)
        {
            output.Paragraph(line, indent: 2);
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
                    new Text(Figures.Bytes(drive.FreeBytes)),
                    new Text(drive.FillsOn.Length == 0 ? "lasts" : drive.FillsOn),
                    new Text(Figures.Chance(drive.FillsChance)));
            }

            output.Draw(table);
        }

        if (outlook.AnyClipLost is { } lost)
        {
            output.Paragraph($"Chance that any clip is lost by the last day: {Figures.Chance(lost)}. What that rests on: --json, footage.byLastDay.assumes.");
            output.Line();
        }
    }

    private static void DrawCautions(DataOut output, GetOutlookResponse outlook)
    {
        foreach (string caution in outlook.Banks.SelectMany(bank => bank.Cautions).Distinct(StringComparer.Ordinal))
        {
            output.Paragraph($"Caution: {caution}");
        }
    }

    private static string Readiness(string word) => word switch
    {
        "READY" => "ready",
        "SLOW_ONLY" => "slowly only",
        "WARM_FIRST" => "warm first",
        "TOO_HOT" => "too hot",
        "NO_TEMPERATURE" => "measure first",
        _ => word,
    };
}
