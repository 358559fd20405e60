using System.Text.Json;
using KitMesh.Cli.Frame;
using KitMesh.Tests.Architecture;

namespace KitMesh.Tests.Cli;

public sealed class ImportCommandTests : IDisposable
{
    private readonly string _folder = Directory.CreateTempSubdirectory("kitmesh-import-").FullName;

    private static string Trip => SourceTree.PathTo("deploy", "trips", "two-on-skis.yaml");

    public void Dispose() => Directory.Delete(_folder, recursive: true);

    [Fact]
    public async Task Import_ALoggersTable_IsWhatTheReportTells()
    {
        // 30 W from 10:00 to 14:00 in steps of an hour: 120 Wh. One row without a time, one cell without a number.
        string csv = Write("log.csv", "Time;Solar\r\n2027-03-14 10:00;30,0\r\n2027-03-14 11:00;30\r\nnever;30\r\n2027-03-14 12:00;30\r\n2027-03-14 13:00;30\r\n2027-03-14 13:30;off\r\n2027-03-14 14:00;30\r\n");
        string into = Path.Combine(_folder, "data");

        CliRun import = await CliRun.OfAsync("import", csv, "--trip", Trip, "--map", Map("W"), "--into", into, "--json");
        CliRun report = await CliRun.OfAsync("report", into, "--json", "--paths", "0");

        Assert.True(import.Code == ExitCode.BadNews, import.Talk);
        using JsonDocument told = JsonDocument.Parse(import.Output);
        Assert.Equal((7, 1, 1), (told.RootElement.GetProperty("rows").GetInt32(), told.RootElement.GetProperty("rowsWithoutTime").GetInt32(), told.RootElement.GetProperty("oddCells").GetInt32()));
        Assert.True(report.Code == ExitCode.Good, report.Talk);
        using JsonDocument account = JsonDocument.Parse(report.Output);
        JsonElement day = Assert.Single(account.RootElement.GetProperty("energy").GetProperty("banks")[0].GetProperty("days").EnumerateArray());
        Assert.Equal(120, day.GetProperty("panels").GetDouble(), 1e-6);
    }

    [Fact]
    public async Task Import_WrongInput_IsSaidAndNothingIsWritten()
    {
        string csv = Write("log.csv", "Time;Solar\r\n2027-03-14 10:00;30\r\n");
        string into = Path.Combine(_folder, "data");
        CliRun none = await CliRun.OfAsync("import");
        CliRun unit = await CliRun.OfAsync("import", csv, "--trip", Trip, "--map", Map("Ah"), "--into", into);
        CliRun full = await CliRun.OfAsync("import", csv, "--trip", Trip, "--map", Map("W"), "--into", _folder);
        CliRun column = await CliRun.OfAsync("import", Write("other.csv", "a;b\r\n1;2\r\n"), "--trip", Trip, "--map", Map("W"), "--into", into);

        Assert.All(new[] { none, unit, full, column }, run => Assert.Equal(ExitCode.BadInput, run.Code));
        Assert.Contains("Is it a charge?", unit.Talk, StringComparison.Ordinal);
        Assert.Contains("has no column \"Time\"", column.Talk, StringComparison.Ordinal);
        Assert.False(Directory.Exists(into));
    }

    private string Map(string unit) => Write(
        "map.yaml", $"separator: \";\"\ndecimalComma: \"true\"\ntime: {{ column: Time, format: \"uuuu-MM-dd HH:mm\", zone: \"+01:00\" }}\ncolumns:\n  - {{ column: Solar, item: folding panel, quantity: panelWatts, unit: {unit} }}\n");

    private string Write(string name, string text)
    {
        string file = Path.Combine(_folder, name);
        File.WriteAllText(file, text);
        return file;
    }
}
