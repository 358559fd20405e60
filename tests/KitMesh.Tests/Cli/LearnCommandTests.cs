using System.Text.Json;
using KitMesh.Cli.Frame;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using KitMesh.TestKit.Hub;
using KitMesh.Tests.Architecture;
using KitMesh.Tests.Outlook.Energy;
using NodaTime;

namespace KitMesh.Tests.Cli;

public sealed class LearnCommandTests : IDisposable
{
    private readonly string _folder = Directory.CreateTempSubdirectory("kitmesh-learn-").FullName;

    private string Data => Path.Combine(_folder, "data");

    private string Into => Path.Combine(_folder, "kit.yaml");

    public void Dispose() => Directory.Delete(_folder, recursive: true);

    [Fact]
    public async Task Learn_ATrip_WritesWhatTheNextPlanStartsFrom()
    {
        await FillAsync();

        CliRun learn = await CliRun.OfAsync("learn", "--from", Data, "--into", Into);
        string first = File.ReadAllText(Into);
        CliRun again = await CliRun.OfAsync("learn", "--from", Data, "--into", Into, "--json");
        string trip = Path.Combine(_folder, "trip.yaml");
        File.WriteAllText(trip, File.ReadAllText(SourceTree.PathTo("deploy", "trip.example.yaml")).Replace("camera a", "ridge camera", StringComparison.Ordinal));
        CliRun plan = await CliRun.OfAsync("plan", trip, "--kit", Into, "--paths", "1000");

        Assert.True(learn.Code == ExitCode.Good, learn.Talk);
        Assert.Contains("ridge camera", learn.Output, StringComparison.Ordinal);
        Assert.Equal(first, File.ReadAllText(Into));
        Assert.Contains("known already", again.Talk, StringComparison.Ordinal);
        using JsonDocument document = JsonDocument.Parse(again.Output);
        JsonElement camera = document.RootElement.GetProperty("posteriors").EnumerateArray().Single(one => one.GetProperty("item").GetString() == "ridge camera");
        Assert.InRange(camera.GetProperty("value").GetDouble(), 80, 96);
        Assert.True(plan.Code is ExitCode.Good or ExitCode.BadNews, plan.Talk);
        Assert.Contains("Learnt, ridge camera:", plan.Output, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Learn_WrongInput_IsSaidAndNothingIsWritten()
    {
        await FillAsync();
        string spoilt = Path.Combine(_folder, "spoilt.yaml");
        File.WriteAllText(spoilt, "version: 1\nposteriors: 3\n");
        CliRun none = await CliRun.OfAsync("learn");
        CliRun noInto = await CliRun.OfAsync("learn", "--from", Data);
        CliRun empty = await CliRun.OfAsync("learn", "--from", _folder, "--into", Into);
        CliRun twice = await CliRun.OfAsync("learn", "--from", Data, Data, "--into", Into);
        CliRun into = await CliRun.OfAsync("learn", "--from", Data, "--into", spoilt);
        CliRun folder = await CliRun.OfAsync("learn", "--from", Data, "--into", _folder);
        CliRun plan = await CliRun.OfAsync("plan", SourceTree.PathTo("deploy", "trip.example.yaml"), "--kit", Path.Combine(_folder, "absent.yaml"));
        CliRun busy;
        await using (TestHub hub = await TestHub.StartAsync(Data))
        {
            busy = await CliRun.OfAsync("learn", "--from", Data, "--into", Into);
        }

        Assert.All(new[] { none, noInto, empty, twice, into, folder, plan, busy }, run => Assert.Equal(ExitCode.BadInput, run.Code));
        Assert.Contains("spoilt.yaml:2: posteriors", into.Talk, StringComparison.Ordinal);
        Assert.Contains("once more", twice.Talk, StringComparison.Ordinal);
        Assert.Contains("is in use", busy.Talk, StringComparison.Ordinal);
        Assert.False(File.Exists(Into));
        Assert.StartsWith("version: 1\nposteriors: 3", File.ReadAllText(spoilt), StringComparison.Ordinal);
    }

    private async Task FillAsync()
    {
        KitId camera = KitId.Parse("ridge camera");
        TimedReading[] written =
        [
            .. Enumerable.Range(0, 85).Select(hour => new TimedReading(
                EnergyScene.Evening - Duration.FromHours(85 - hour), new LoadReading(camera, ChargeActivity.Unknown, null, null, new WattHours(100 + (4 * hour)), null))),
        ];
        await using TestHub hub = await TestHub.StartAsync(Data, now: EnergyScene.Evening);
        await HubFill.GiveAsync(hub.Address, EnergyScene.Kit, "ridge-power", written, TestContext.Current.CancellationToken);
    }
}
