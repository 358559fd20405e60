using System.Globalization;
using System.Text.Json;
using DuckDB.NET.Data;
using KitMesh.Cli.Frame;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using KitMesh.TestKit.Hub;
using KitMesh.Tests.Cli;
using KitMesh.Tests.Outlook.Energy;
using NodaTime;

namespace KitMesh.Tests.Export;

/// <summary>DuckDB computes from an export what the report says, in SQL that knows nothing of KitMesh's code.</summary>
public sealed class ExportTotalsTests : IDisposable
{
    private static readonly KitId Film = KitId.Parse("ridge film");
    private static readonly KitId Card = KitId.Parse("card 1");
    private readonly string _folder = Directory.CreateTempSubdirectory("kitmesh-totals-").FullName;
    private readonly DuckDBConnection _duck = new("Data Source=:memory:");

    private static CancellationToken Cancel => TestContext.Current.CancellationToken;

    public void Dispose()
    {
        _duck.Dispose();
        Directory.Delete(_folder, recursive: true);
    }

    [Fact]
    public async Task DuckDb_FromTheExport_ReproducesTheReportsTotals()
    {
        JsonElement account = await ExportAsync();
        JsonElement[] days = [.. account.GetProperty("energy").GetProperty("banks")[0].GetProperty("days").EnumerateArray()];
        double Told(string name) => days.Sum(day => day.GetProperty(name).ValueKind == JsonValueKind.Number ? day.GetProperty(name).GetDouble() : 0);

        // Trapezium of what was read at most two hours apart; charge and discharge apart where the line crosses zero.
        const string Pairs = """
            WITH pairs AS (SELECT quantity, value AS b, lag(value) OVER w AS a, (time_unix_ns - lag(time_unix_ns) OVER w) / 3.6e12 AS h
            FROM read_parquet('{0}/readings/**/*.parquet', hive_partitioning = true) WHERE quantity IN ('PanelWatts', 'PackWatts') WINDOW w AS (PARTITION BY item, quantity ORDER BY time_unix_ns))
            """;
        Assert.Equal(Told("panels"), await AskAsync(Pairs + "SELECT sum((a + b) / 2 * h) FROM pairs WHERE quantity = 'PanelWatts' AND h <= 2"), 1e-6);
        Assert.Equal(
            Told("intoPacks"),
            await AskAsync(Pairs + "SELECT sum(CASE WHEN a >= 0 AND b >= 0 THEN (a + b) / 2 * h WHEN a <= 0 AND b <= 0 THEN 0 ELSE greatest(a, b) * greatest(a, b) / (abs(a) + abs(b)) / 2 * h END) FROM pairs WHERE quantity = 'PackWatts' AND h <= 2"),
            1e-6);
        Assert.Equal(
            account.GetProperty("footage").EnumerateArray().Sum(sum => sum.GetProperty("size").GetDouble()),
            await AskAsync("SELECT sum(size_bytes)::DOUBLE FROM (SELECT clip, min(size_bytes) AS size_bytes FROM read_parquet('{0}/reports/**/*.parquet') WHERE kind = 'ClipFound' GROUP BY clip)"));
        Assert.Equal(
            account.GetProperty("offloads").EnumerateArray().Sum(run => run.GetProperty("copies").GetDouble()),
            await AskAsync("SELECT count(*) FROM read_parquet('{0}/reports/**/*.parquet') WHERE kind = 'CopyVerified' AND recheck = 0"));
        Assert.Equal(
            account.GetProperty("failedCopies").GetArrayLength(), await AskAsync("SELECT count(*) FROM read_parquet('{0}/reports/**/*.parquet') WHERE kind = 'CopyFailed'"));
        Assert.Equal(
            7.0,
            await AskAsync("SELECT sum(CASE WHEN stands = 0 THEN time_unix_ns ELSE -time_unix_ns END)::DOUBLE / 3.6e12 FROM read_parquet('{0}/reports/**/*.parquet') WHERE kind = 'AlertChanged'"), 1e-6);
        Assert.True(Told("panels") > 1000 && Told("intoPacks") > 100);
    }

    [Fact]
    public async Task RollUps_OfTheExport_AreTheTimeWeightedMeansOfAQueryEngine()
    {
        await ExportAsync();

        // Sample and hold for at most an hour, spread over the hours that it touches: as a range join of spans and hours.
        double differs = await AskAsync("""
            WITH samples AS (SELECT value, time_unix_ns AS t, lead(time_unix_ns) OVER (ORDER BY time_unix_ns) AS next FROM read_parquet('{0}/readings/**/*.parquet') WHERE quantity = 'PackWatts'),
            spans AS (SELECT value, t, least(next, t + 3600000000000) AS e FROM samples WHERE next IS NOT NULL),
            hours AS (SELECT start_unix_ns AS s, start_unix_ns + 3600000000000 AS e, mean, known_s FROM read_parquet('{0}/rollups/**/*.parquet') WHERE quantity = 'PackWatts'),
            joined AS (SELECT h.s, h.mean, h.known_s, sum(sp.value * (least(sp.e, h.e) - greatest(sp.t, h.s))) / sum(least(sp.e, h.e) - greatest(sp.t, h.s))::DOUBLE AS m, sum(least(sp.e, h.e) - greatest(sp.t, h.s))::DOUBLE / 1e9 AS k
            FROM hours h JOIN spans sp ON sp.t < h.e AND sp.e > h.s GROUP BY ALL)
            SELECT coalesce(max(greatest(abs(mean - m), abs(known_s - k))), 1e9) FROM joined
            """);

        Assert.InRange(differs, 0, 1e-5);
        Assert.True(await AskAsync("SELECT count(*) FROM read_parquet('{0}/rollups/**/*.parquet') WHERE quantity = 'PackWatts'") >= 60);
    }

    [Fact]
    public async Task Parquet_EveryColumn_CarriesItsUnitAndMeaning()
    {
        await ExportAsync();
        foreach (string table in new[] { "readings", "reports", "rollups" })
        {
            string file = Directory.EnumerateFiles(Path.Combine(_folder, "tables", table), "*.parquet", SearchOption.AllDirectories).First();
            await using FileStream stream = File.OpenRead(file);
            await using Parquet.ParquetReader reader = await Parquet.ParquetReader.CreateAsync(stream, cancellationToken: Cancel);
            using Parquet.ParquetRowGroupReader group = reader.OpenRowGroupReader(0);
            Assert.All(reader.Schema.GetDataFields(), field =>
            {
                Dictionary<string, string> metadata = group.GetCustomMetadata(field);
                Assert.NotEmpty(metadata["unit"]);
                Assert.NotEmpty(metadata["meaning"]);
            });
            Assert.Equal(table, reader.CustomMetadata["kitmesh_table"]);
        }
    }

    [Fact]
    public async Task Csv_RollUpsAndReports_HoldTheSameAsParquet()
    {
        await ExportAsync();
        CliRun csv = await CliRun.OfAsync("export", "tables", "--data", Path.Combine(_folder, "data"), "--to", Path.Combine(_folder, "csv"), "--format", "csv");

        Assert.True(csv.Code == ExitCode.Good, csv.Talk);
        string path = Path.Combine(_folder, "csv").Replace('\\', '/');
        Assert.Equal(
            await AskAsync("SELECT sum(mean * known_s) FROM read_parquet('{0}/rollups/**/*.parquet')"), await AskAsync($"SELECT sum(mean * known_s) FROM read_csv('{path}/rollups/**/*.csv', hive_partitioning = true)"), 1e-6);
        Assert.Equal(
            await AskAsync("SELECT count(*) FROM read_parquet('{0}/reports/**/*.parquet')"), await AskAsync($"SELECT count(*) FROM read_csv('{path}/reports/**/*.csv', hive_partitioning = true)"));
    }

    [Fact]
    public async Task Check_WholeDamagedMissingStrangeAndInterrupted_AreTold()
    {
        await ExportAsync();
        string tables = Path.Combine(_folder, "tables");
        string[] files = [.. Directory.EnumerateFiles(Path.Combine(tables, "readings"), "*.parquet", SearchOption.AllDirectories).Order()];
        CliRun whole = await CliRun.OfAsync("export", "check", tables);
        byte[] bytes = await File.ReadAllBytesAsync(files[0], Cancel);
        bytes[bytes.Length / 2] ^= 1;
        await File.WriteAllBytesAsync(files[0], bytes, Cancel);
        File.Move(files[^1], Path.Combine(Path.GetDirectoryName(files[^1])!, "part-0099.parquet"));
        CliRun damaged = await CliRun.OfAsync("export", "check", tables);
        File.Delete(Path.Combine(tables, "export.json"));
        CliRun interrupted = await CliRun.OfAsync("export", "check", tables, "--json");
        CliRun none = await CliRun.OfAsync("export", "check");
        CliRun absent = await CliRun.OfAsync("export", "check", Path.Combine(_folder, "nowhere"));

        Assert.True(whole.Code == ExitCode.Good, whole.Output + whole.Talk);
        Assert.Equal(ExitCode.BadNews, damaged.Code);
        Assert.Contains("part-0000.parquet is damaged", damaged.Output, StringComparison.Ordinal);
        Assert.Contains(" is missing: ", damaged.Output, StringComparison.Ordinal);
        Assert.Contains("part-0099.parquet is not of this export", damaged.Output, StringComparison.Ordinal);
        Assert.Equal(ExitCode.BadNews, interrupted.Code);
        Assert.Contains("interrupted", interrupted.Output, StringComparison.Ordinal);
        Assert.All(new[] { none, absent }, run => Assert.Equal(ExitCode.BadInput, run.Code));
    }

    [Fact]
    public async Task Parquet_DamagedFile_IsNamedByTheReaderAndTheOthersStayReadable()
    {
        await ExportAsync();
        string file = Directory.EnumerateFiles(Path.Combine(_folder, "tables", "rollups"), "*.parquet", SearchOption.AllDirectories).Order().First();
        byte[] bytes = await File.ReadAllBytesAsync(file, Cancel);
        await File.WriteAllBytesAsync(file, bytes[..(bytes.Length / 2)], Cancel);

        await Assert.ThrowsAnyAsync<Exception>(() => AskAsync("SELECT count(*) FROM read_parquet('{0}/rollups/**/*.parquet')"));
        Assert.True(await AskAsync("SELECT count(*) FROM read_parquet('{0}/readings/**/*.parquet')") > 0);
        Assert.Empty(Directory.EnumerateFiles(Path.Combine(_folder, "tables"), "*.part", SearchOption.AllDirectories));
    }

    private async Task<double> AskAsync(string query)
    {
        if (_duck.State != System.Data.ConnectionState.Open)
        {
            await _duck.OpenAsync(Cancel);
        }

        using DuckDBCommand command = _duck.CreateCommand();
        command.CommandText = query.Replace("{0}", Path.Combine(_folder, "tables"), StringComparison.Ordinal);
        return Convert.ToDouble(await command.ExecuteScalarAsync(Cancel), CultureInfo.InvariantCulture);
    }

    private async Task<JsonElement> ExportAsync()
    {
        string data = Path.Combine(_folder, "data");
        await using (TestHub hub = await TestHub.StartAsync(data, now: EnergyScene.Evening + Duration.FromHours(1)))
        {
            await HubFill.GiveAsync(
                hub.Address, EnergyScene.Kit.Append(new FootageSource(Film, KitId.Parse("ridge team"), null, 100, 0.3, null)).Append(new Card(Card, Film, new ByteCount(64_000_000_000))), "ridge-station", Written(), Cancel);
        }

        CliRun report = await CliRun.OfAsync("report", data, "--json", "--paths", "0");
        CliRun export = await CliRun.OfAsync("export", "tables", "--data", data, "--to", Path.Combine(_folder, "tables"));
        Assert.True(report.Code == ExitCode.Good, report.Talk);
        Assert.True(export.Code == ExitCode.Good, export.Talk);
        using JsonDocument document = JsonDocument.Parse(report.Output);
        return document.RootElement.Clone();
    }

    private static TimedReading[] Written()
    {
        var written = new List<TimedReading>();
        Instant At(double hoursAgo) => EnergyScene.Evening - Duration.FromHours(hoursAgo);
        for (int i = 0; i < 200; i++)
        {
            // Irregular, with two silences, and a current that turns its sign.
            double ago = 70 - (i * 0.35) - (i > 60 ? 3.1 : 0);
            if (ago < 0.1)
            {
                break;
            }

            written.Add(new TimedReading(At(ago), new PanelReading(EnergyScene.PanelId, null, null, new Watts(Math.Round(60 * Math.Max(0, Math.Sin(i / 9.0)), 3)), null)));
            written.Add(new TimedReading(At(ago), new BatteryReading(EnergyScene.BankId, null, null, new Watts(Math.Round(25 * Math.Sin(i / 5.0), 3)), null, [])));
        }

        KitId visit = KitId.Parse("visit 1");
        written.Add(new TimedReading(At(5), new CardSeen(Card, visit, Film, new ByteCount(64_000_000_000), new ByteCount(9_000_000_000), 3)));
        for (byte clip = 1; clip <= 3; clip++)
        {
            var hash = new ClipHash(clip);
            written.Add(new TimedReading(At(4.9), new ClipFound(hash, Card, visit, $"c{clip}", new ByteCount(clip * 1_500_000_000L), Film, null, null, null)));
            written.Add(new TimedReading(At(4.8), new CopyVerified(hash, KitId.Parse("drive red"), $"c{clip}", new ByteCount(clip * 1_500_000_000L), ReadBackLevel.Direct, Recheck: false)));
            written.Add(new TimedReading(At(4.7), new CopyFailed(hash, KitId.Parse("drive blue"), $"c{clip}", CopyFailure.WriteFailed, "no room", Card)));
        }

        written.Add(new TimedReading(At(30), new AlertChanged("cold-charge", EnergyScene.BankId, true, "cold")));
        written.Add(new TimedReading(At(23), new AlertChanged("cold-charge", EnergyScene.BankId, false, "")));
        return [.. written];
    }
}
