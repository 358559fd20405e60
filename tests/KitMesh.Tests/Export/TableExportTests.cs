using System.Globalization;
using DuckDB.NET.Data;
using Grpc.Net.Client;
using KitMesh.Cli.Frame;
using KitMesh.Domain.Reports;
using KitMesh.Protocol.Exchange;
using KitMesh.Protocol.Kit;
using KitMesh.Protocol.Reports;
using KitMesh.TestKit.Hub;
using KitMesh.TestKit.Storage;
using KitMesh.Tests.Cli;
using KitMesh.Tests.Outlook.Energy;
using NodaTime;
using V1 = KitMesh.Protocol.V1;

namespace KitMesh.Tests.Export;

/// <summary>What DuckDB, a query engine that knows nothing of KitMesh, reads from an export.</summary>
public sealed class TableExportTests : IDisposable
{
    private const int Hours = 60;
    private readonly string _folder = Directory.CreateTempSubdirectory("kitmesh-export-").FullName;

    private static CancellationToken Cancel => TestContext.Current.CancellationToken;

    private string Data => Path.Combine(_folder, "data");

    public void Dispose() => Directory.Delete(_folder, recursive: true);

    [Fact]
    public async Task Export_Parquet_GivesDuckDbEveryReadingByTeamAndDayWithItsUnit()
    {
        await FillAsync();
        Dictionary<string, string> before = Fingerprints();

        CliRun run = await CliRun.OfAsync("export", "tables", "--data", Data, "--to", Path.Combine(_folder, "tables"), "--json");

        Assert.True(run.Code == ExitCode.Good, run.Talk);
        Assert.Equal(before, Fingerprints());
        string readings = $"read_parquet('{_folder}/tables/readings/**/*.parquet', hive_partitioning = true)";
        using var duck = new DuckDBConnection("Data Source=:memory:");
        await duck.OpenAsync(Cancel);
        Assert.Equal(Hours, await AskAsync(duck, $"SELECT count(*) FROM {readings} WHERE quantity = 'PackVolts' AND item = 'ridge bank' AND team IN ('ridge team', 'ridge%20team')"));
        Assert.Equal(Enumerable.Range(0, Hours).Sum(Volts), await AskAsync(duck, $"SELECT sum(value) FROM {readings} WHERE quantity = 'PackVolts' AND unit = 'V'"), 1e-5);
        Assert.Equal(Days(), await AskAsync(duck, $"SELECT count(DISTINCT day) FROM {readings} WHERE quantity = 'PackVolts'"));
        Assert.Equal(EnergyScene.Evening.ToUnixTimeTicks() * 100.0, await AskAsync(duck, $"SELECT min(time_unix_ns) FROM {readings} WHERE quantity = 'PackVolts'"), 1);
        Assert.Equal(EnergyScene.Kit.Count, await AskAsync(duck, $"SELECT count(*) FROM read_parquet('{_folder}/tables/reports/**/*.parquet') WHERE kind = 'KitDeclared'"));
        Assert.Equal(1, await AskAsync(duck, $"SELECT count(DISTINCT value) FROM parquet_kv_metadata('{_folder}/tables/readings/**/*.parquet') WHERE decode(key) = 'kitmesh_schema' AND decode(value) = '2'"));
    }

    [Fact]
    public async Task Export_Csv_HasTheSameRows()
    {
        await FillAsync();

        CliRun run = await CliRun.OfAsync("export", "tables", "--data", Data, "--to", Path.Combine(_folder, "csv"), "--format", "csv");

        Assert.True(run.Code == ExitCode.Good, run.Talk);
        using var duck = new DuckDBConnection("Data Source=:memory:");
        await duck.OpenAsync(Cancel);
        Assert.Equal(Enumerable.Range(0, Hours).Sum(Volts), await AskAsync(duck, $"SELECT sum(value) FROM read_csv('{_folder}/csv/readings/**/*.csv', hive_partitioning = true) WHERE quantity = 'PackVolts'"), 1e-5);
    }

    [Fact]
    public async Task Export_WrongFolders_AreBadInputAndNothingIsWritten()
    {
        string to = Path.Combine(_folder, "to");
        CliRun none = await CliRun.OfAsync("export", "tables");
        CliRun noData = await CliRun.OfAsync("export", "tables", "--data", _folder, "--to", to);
        await using TestHub hub = await TestHub.StartAsync(Data);
        CliRun busy = await CliRun.OfAsync("export", "tables", "--data", Data, "--to", to);
        CliRun full = await CliRun.OfAsync("export", "tables", "--data", Data, "--to", _folder);

        Assert.All(new[] { none, noData, busy, full }, run => Assert.Equal(ExitCode.BadInput, run.Code));
        Assert.Contains("is in use", busy.Talk, StringComparison.Ordinal);
        Assert.Contains("is not empty", full.Talk, StringComparison.Ordinal);
        Assert.False(Directory.Exists(to));
    }

    [Fact]
    public async Task Replay_BeforeAndAfterTheReadingsArrived_KnowsOnlyWhatHadArrived()
    {
        await FillAsync();
        string arrival = NodaTime.Text.InstantPattern.General.Format(EnergyScene.Evening + Duration.FromHours(Hours));

        CliRun before = await CliRun.OfAsync("replay", Data, "--at", "2027-02-01T00:00Z", "--json");
        CliRun after = await CliRun.OfAsync("replay", Data, "--at", arrival, "--paths", "1000", "--json");
        CliRun wrong = await CliRun.OfAsync("replay", Data, "--at", "yesterday");
        CliRun none = await CliRun.OfAsync("replay");

        Assert.True(before.Code == ExitCode.Good, before.Talk);
        Assert.Contains("\"reports\":0,", before.Output, StringComparison.Ordinal);
        Assert.True(after.Code == ExitCode.Good, after.Talk);
        using var document = System.Text.Json.JsonDocument.Parse(after.Output);
        System.Text.Json.JsonElement bank = document.RootElement.GetProperty("energy").GetProperty("banks")[0];
        Assert.Equal("ridge bank", bank.GetProperty("bank").GetString());
        Assert.NotEqual("the trip file", bank.GetProperty("charge").GetProperty("from").GetString());
        Assert.Equal((ExitCode.BadInput, ExitCode.BadInput), (wrong.Code, none.Code));
    }

    private static double Volts(int hour) => 12.5 + (hour / 128.0);

    private static int Days() => Enumerable.Range(0, Hours).Select(hour => (EnergyScene.Evening + Duration.FromHours(hour)).WithOffset(Offset.FromHours(6)).Date).Distinct().Count();

    private static async Task<double> AskAsync(DuckDBConnection duck, string query)
    {
        using DuckDBCommand command = duck.CreateCommand();
        command.CommandText = query;
        return Convert.ToDouble(await command.ExecuteScalarAsync(Cancel), CultureInfo.InvariantCulture);
    }

    private Dictionary<string, string> Fingerprints() => Directory
        .EnumerateFiles(Path.Combine(Data, "journal"), "*", SearchOption.AllDirectories)
        .ToDictionary(file => file, file => Sha256Hash.Of(File.ReadAllBytes(file)).ToString());

    private async Task FillAsync()
    {
        await using TestHub hub = await TestHub.StartAsync(Data, now: EnergyScene.Evening + Duration.FromHours(Hours));
        using GrpcChannel channel = GrpcChannel.ForAddress(hub.Address);
        var mesh = new V1.MeshService.MeshServiceClient(channel);
        var kit = new V1.DeclareKitRequest();
        kit.Items.AddRange(EnergyScene.Kit.Select(KitItemCodec.Write));
        await mesh.DeclareKitAsync(kit, cancellationToken: Cancel);
        var writer = new ReportMaker("ridge-agent");
        var push = new V1.PushRequest { Origin = OriginCodec.Write(writer.Origin), FirstSequence = 1 };
        for (int hour = 0; hour < Hours; hour++)
        {
            ReportBody body = EnergyScene.Battery(0, Volts(hour), -1, 0.5, -4).Body;
            push.Encoded.Add(Google.Protobuf.ByteString.CopyFrom(ReportCodec.Encode(writer.Make((ulong)hour + 1, EnergyScene.Evening + Duration.FromHours(hour), body).Timed.Report)));
        }

        await mesh.PushAsync(push, cancellationToken: Cancel);
    }
}
