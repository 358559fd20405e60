using System.Text.Json;
using KitMesh.Cli.Frame;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using KitMesh.TestKit.Hub;
using KitMesh.Tests.Outlook.Energy;
using NodaTime;

namespace KitMesh.Tests.Cli;

public sealed class ReportCommandTests : IDisposable
{
    private readonly string _folder = Directory.CreateTempSubdirectory("kitmesh-report-").FullName;

    private string Data => Path.Combine(_folder, "data");

    public void Dispose() => Directory.Delete(_folder, recursive: true);

    [Fact]
    public async Task Report_FolderAndRunningHub_GiveTheSameFile()
    {
        string fetched = Path.Combine(_folder, "fetched.html");
        string read = Path.Combine(_folder, "read.html");
        CliRun asked;
        await using (TestHub hub = await TestHub.StartAsync(Data, now: EnergyScene.Evening))
        {
            await HubFill.GiveAsync(hub.Address, EnergyScene.Kit, "ridge-power", Written(), TestContext.Current.CancellationToken);
            asked = await CliRun.OfAsync("report", "--hub", hub.Address.ToString(), "--to", fetched, "--paths", "80");
        }

        CliRun folder = await CliRun.OfAsync("report", Data, "--to", read, "--paths", "80");

        Assert.True(asked.Code == ExitCode.Good, asked.Talk);
        Assert.True(folder.Code == ExitCode.Good, folder.Talk);
        Assert.Equal(File.ReadAllText(fetched), File.ReadAllText(read));
        Assert.Equal("", folder.Output);
    }

    [Fact]
    public async Task Report_DayAndTeam_HoldsOnlyThem()
    {
        await FillAsync();

        CliRun day = await CliRun.OfAsync("report", Data, "--day", "2027-02-10", "--team", "ridge team", "--json", "--paths", "80");

        Assert.True(day.Code == ExitCode.Good, day.Talk);
        using JsonDocument document = JsonDocument.Parse(day.Output);
        JsonElement bank = document.RootElement.GetProperty("energy").GetProperty("banks")[0];
        JsonElement only = Assert.Single(bank.GetProperty("days").EnumerateArray());
        Assert.Equal("2027-02-10", only.GetProperty("day").GetString());

        // 29 and 31 W in turn in the hourly readings: 12 × 29 + 12 × 31 = 720 Wh.
        Assert.Equal(720, only.GetProperty("panels").GetDouble(), 1e-6);
        Assert.Equal(JsonValueKind.Object, only.GetProperty("forecast").ValueKind);
    }

    [Fact]
    public async Task Report_HotPack_TellsTheAlertThatTheHubFoundAndHowLongItStood()
    {
        await using (TestHub hub = await TestHub.StartAsync(Data, now: EnergyScene.Evening))
        {
            TimedReading[] written = [.. Enumerable.Range(0, 60).Select(hour => EnergyScene.Battery(60 - hour, 13.1, 0.2, 0.5, hour is 30 or 31 ? 65 : 8))];
            await HubFill.GiveAsync(hub.Address, EnergyScene.Kit, "ridge-power", written, TestContext.Current.CancellationToken);
        }

        CliRun run = await CliRun.OfAsync("report", Data, "--json", "--paths", "80");

        Assert.True(run.Code == ExitCode.Good, run.Talk);
        using JsonDocument document = JsonDocument.Parse(run.Output);
        JsonElement hot = Assert.Single(document.RootElement.GetProperty("alerts").EnumerateArray(), alert => alert.GetProperty("what").GetString() == "pack-hot");
        Assert.Equal("hub", hot.GetProperty("by").GetString());

        // Hot at two readings an hour apart, cool at the next: two hours.
        Instant since = NodaTime.Text.InstantPattern.ExtendedIso.Parse(hot.GetProperty("since").GetString()!).Value;
        Instant until = NodaTime.Text.InstantPattern.ExtendedIso.Parse(hot.GetProperty("until").GetString()!).Value;
        Assert.Equal(Duration.FromHours(2), until - since);
    }

    [Fact]
    public async Task Report_WrongInput_IsSaidAndNothingIsWritten()
    {
        await FillAsync();
        string file = Path.Combine(_folder, "never.html");
        CliRun empty = await CliRun.OfAsync("report", _folder, "--to", file);
        CliRun noTeam = await CliRun.OfAsync("report", Data, "--team", "sea team", "--to", file);
        CliRun noDay = await CliRun.OfAsync("report", Data, "--day", "14.2.2027", "--to", file);
        CliRun order = await CliRun.OfAsync("report", Data, "--from", "2027-02-12", "--until", "2027-02-10", "--to", file);
        CliRun both = await CliRun.OfAsync("report", Data, "--hub", "http://127.0.0.1:1", "--to", file);
        CliRun nobody = await CliRun.OfAsync("report", "--hub", "http://127.0.0.1:1", "--to", file);
        CliRun folder = await CliRun.OfAsync("report", Data, "--to", _folder);
        CliRun busy;
        await using (TestHub hub = await TestHub.StartAsync(Data))
        {
            busy = await CliRun.OfAsync("report", Data, "--to", file);
        }

        Assert.All(new[] { empty, noTeam, noDay, order, both, folder, busy }, run => Assert.Equal(ExitCode.BadInput, run.Code));
        Assert.Equal(ExitCode.HubUnreachable, nobody.Code);
        Assert.Contains("There are: ridge team", noTeam.Talk, StringComparison.Ordinal);
        Assert.Contains("out of order", order.Talk, StringComparison.Ordinal);
        Assert.Contains("is in use", busy.Talk, StringComparison.Ordinal);
        Assert.False(File.Exists(file));
    }

    [Fact]
    public async Task Report_NoTripDeclared_AsksForTheTripFile()
    {
        await using (TestHub hub = await TestHub.StartAsync(Data, now: EnergyScene.Evening))
        {
            await HubFill.GiveAsync(hub.Address, [], "ridge-power", Written(), TestContext.Current.CancellationToken);
        }

        CliRun run = await CliRun.OfAsync("report", Data);

        Assert.Equal(ExitCode.BadInput, run.Code);
        Assert.Contains("kitmesh hub --trip", run.Talk, StringComparison.Ordinal);
    }

    private static TimedReading[] Written() =>
    [
        .. Enumerable.Range(0, 60).SelectMany(hour => new[]
        {
            EnergyScene.Battery(60 - hour, 13.1, 1, 0.5, 4),
            new TimedReading(EnergyScene.Evening - Duration.FromHours(60 - hour), new PanelReading(EnergyScene.PanelId, null, null, new Watts(hour % 2 == 0 ? 29 : 31), null)),
        }),
    ];

    private async Task FillAsync()
    {
        await using TestHub hub = await TestHub.StartAsync(Data, now: EnergyScene.Evening);
        await HubFill.GiveAsync(hub.Address, EnergyScene.Kit, "ridge-power", Written(), TestContext.Current.CancellationToken);
    }
}
