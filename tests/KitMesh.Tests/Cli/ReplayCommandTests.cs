using System.Text.Json;
using KitMesh.Cli.Frame;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using KitMesh.TestKit.Hub;
using KitMesh.Tests.Outlook.Energy;
using NodaTime;
using NodaTime.Text;

namespace KitMesh.Tests.Cli;

/// <summary>A replay against what the hub itself said when it ran.</summary>
public sealed class ReplayCommandTests : IDisposable
{
    private static readonly Instant Then = EnergyScene.Evening - Duration.FromDays(1);
    private readonly string _folder = Directory.CreateTempSubdirectory("kitmesh-replay-").FullName;

    private string Data => Path.Combine(_folder, "data");

    public void Dispose() => Directory.Delete(_folder, recursive: true);

    [Fact]
    public async Task Replay_APastMoment_TellsTheAlertsAndTheChargingThatTheHubTold()
    {
        CliRun outlook;
        CliRun advice;
        await using (TestHub hub = await TestHub.StartAsync(Data, now: Then))
        {
            await HubFill.GiveAsync(hub.Address, EnergyScene.Kit, "ridge-power", Readings(celsius: 65, until: 24), TestContext.Current.CancellationToken);
            outlook = await CliRun.AtAsync(Then, "outlook", "--hub", hub.Address.ToString(), "--json");
            advice = await CliRun.AtAsync(Then, "advice", "--hub", hub.Address.ToString(), "--json");
            hub.World.Reset(EnergyScene.Evening);
            await HubFill.GiveAsync(hub.Address, [], "ridge-meter", Readings(celsius: 8, until: 0), TestContext.Current.CancellationToken);
        }

        CliRun then = await CliRun.OfAsync("replay", Data, "--at", InstantPattern.General.Format(Then), "--json");
        CliRun now = await CliRun.OfAsync("replay", Data, "--at", InstantPattern.General.Format(EnergyScene.Evening), "--json");
        CliRun words = await CliRun.OfAsync("replay", Data, "--at", InstantPattern.General.Format(Then));

        Assert.True(then.Code == ExitCode.Good, then.Talk);
        using JsonDocument document = JsonDocument.Parse(then.Output);
        JsonElement[] alerts = [.. document.RootElement.GetProperty("alerts").EnumerateArray()];
        JsonElement hot = Assert.Single(alerts, alert => alert.GetProperty("rule").GetString() == "pack-hot");
        Assert.Contains(hot.GetProperty("what").GetString()!, Strings(advice));
        string[] steps = [.. document.RootElement.GetProperty("charging").GetProperty("steps").EnumerateArray().Where(step => step.GetProperty("outlet").ValueKind == JsonValueKind.String).Select(step => step.GetProperty("words").GetString()!)];
        HashSet<string> told = Strings(outlook);
        Assert.All(steps, step => Assert.Contains(step, told));
        Assert.Contains("Alerts that stood:", words.Output, StringComparison.Ordinal);
        Assert.Contains("Lithium packs can burn", words.Output, StringComparison.Ordinal);
        Assert.DoesNotContain("pack-hot", now.Output, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Replay_WrongInput_IsSaid()
    {
        await using (TestHub hub = await TestHub.StartAsync(Data, now: Then))
        {
            await HubFill.GiveAsync(hub.Address, EnergyScene.Kit, "ridge-power", Readings(celsius: 8, until: 24), TestContext.Current.CancellationToken);
            CliRun busy = await CliRun.OfAsync("replay", Data, "--at", "2027-02-14T18:30Z");
            Assert.Equal(ExitCode.BadInput, busy.Code);
            Assert.Contains("is in use", busy.Talk, StringComparison.Ordinal);
        }

        CliRun none = await CliRun.OfAsync("replay");
        CliRun noTime = await CliRun.OfAsync("replay", Data);
        CliRun badTime = await CliRun.OfAsync("replay", Data, "--at", "14.2.2027");
        CliRun empty = await CliRun.OfAsync("replay", _folder, "--at", "2027-02-14T18:30Z");
        CliRun before = await CliRun.OfAsync("replay", Data, "--at", "2020-01-01T00:00Z", "--json");

        Assert.All(new[] { none, noTime, badTime, empty }, run => Assert.Equal(ExitCode.BadInput, run.Code));
        Assert.True(before.Code == ExitCode.Good, before.Talk);
        using JsonDocument document = JsonDocument.Parse(before.Output);
        Assert.Equal(0, document.RootElement.GetProperty("reports").GetInt64());
        Assert.Equal(0, document.RootElement.GetProperty("alerts").GetArrayLength());
    }

    private static TimedReading[] Readings(double celsius, int until) =>
    [
        .. Enumerable.Range(0, 12).Select(hour => EnergyScene.Battery(until + 11 - hour, 13.1, 0.2, 0.6, celsius)),
    ];

    private static HashSet<string> Strings(CliRun run)
    {
        var found = new HashSet<string>();
        void Walk(JsonElement element)
        {
            switch (element.ValueKind)
            {
                case JsonValueKind.String: found.Add(element.GetString()!); break;
                case JsonValueKind.Array: foreach (JsonElement one in element.EnumerateArray()) { Walk(one); } break;
                case JsonValueKind.Object: foreach (JsonProperty one in element.EnumerateObject()) { Walk(one.Value); } break;
            }
        }

        Assert.True(run.Code is ExitCode.Good or ExitCode.BadNews, run.Talk);
        using JsonDocument document = JsonDocument.Parse(run.Output);
        Walk(document.RootElement);
        return found;
    }
}
