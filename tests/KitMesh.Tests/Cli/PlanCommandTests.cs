using System.Text.Json;
using KitMesh.Cli.Frame;
using KitMesh.Tests.Architecture;
using KitMesh.Tests.Outlook.Plan;

namespace KitMesh.Tests.Cli;

public sealed class PlanCommandTests : IDisposable
{
    private readonly string _folder = Directory.CreateTempSubdirectory("kitmesh-plan-").FullName;

    public void Dispose() => Directory.Delete(_folder, recursive: true);

    [Fact]
    public async Task Plan_ExampleWithChoices_TellsEnergyRoomWeightRulesAndTheLightestKit()
    {
        string file = Write(TripPlannerTests.Extras);

        CliRun text = await CliRun.OfAsync("plan", file, "--lightest", "--paths", "1000");
        CliRun json = await CliRun.OfAsync("plan", file, "--paths", "1000", "--against", file, "--json");

        Assert.Equal(ExitCode.BadNews, text.Code);
        Assert.Contains("180 GB a day × 26 days × 2 copies = 9,360 GB of 8,000 GB", text.Output, StringComparison.Ordinal);
        Assert.Contains("NOT AS BAGGAGE", text.Output, StringComparison.Ordinal);
        Assert.Contains("outlooks rolled", text.Output, StringComparison.Ordinal);
        using JsonDocument document = JsonDocument.Parse(json.Output);
        Assert.Equal(9_360, document.RootElement.GetProperty("plan").GetProperty("storage").GetProperty("neededGigabytes").GetDouble(), 1e-9);
        Assert.Equal(document.RootElement.GetProperty("plan").GetRawText(), document.RootElement.GetProperty("against").GetRawText());
    }

    [Fact]
    public async Task Plan_BlankLog_HasALineForEachDay()
    {
        CliRun log = await CliRun.OfAsync("plan", Write(""), "--blank-log");

        Assert.Equal(ExitCode.Good, log.Code);
        Assert.Equal(26, log.Output.Split('\n').Count(line => line.Contains(" 2027-0", StringComparison.Ordinal)));
    }

    [Fact]
    public async Task Plan_WrongInput_IsSaidWithItsLine()
    {
        CliRun nothing = await CliRun.OfAsync("plan");
        CliRun absent = await CliRun.OfAsync("plan", Path.Combine(_folder, "none.yaml"));
        CliRun noChoices = await CliRun.OfAsync("plan", Write(""), "--lightest", "--paths", "1000");
        CliRun contradiction = await CliRun.OfAsync("plan", Write("\nchoices:\n  - item: pack 1\n    least: 3\n    most: 1\n"));
        CliRun weightless = await CliRun.OfAsync("plan", Write("\nchoices:\n  - item: drive red\n    most: 2\n"));
        CliRun unknown = await CliRun.OfAsync("plan", Write("\nchoices:\n  - item: pack 9\n    most: 2\n"));

        Assert.All(new[] { nothing, absent, noChoices, contradiction, weightless, unknown }, run => Assert.Equal(ExitCode.BadInput, run.Code));
        Assert.All(new[] { absent, noChoices, contradiction, weightless, unknown }, run => Assert.Equal("", run.Output));
        Assert.Contains("contradict each other", contradiction.Talk, StringComparison.Ordinal);
        Assert.Contains("Nothing says what \"drive red\" weighs", weightless.Talk, StringComparison.Ordinal);
        Assert.Contains("pack 9", unknown.Talk, StringComparison.Ordinal);
        int line = File.ReadAllLines(SourceTree.PathTo("deploy", "trip.example.yaml")).Length + 3;
        Assert.Contains($"trip.yaml:{line}: choices[0]", weightless.Talk, StringComparison.Ordinal);
    }

    private string Write(string more)
    {
        string file = Path.Combine(_folder, "trip.yaml");
        File.WriteAllText(file, File.ReadAllText(SourceTree.PathTo("deploy", "trip.example.yaml")) + more);
        return file;
    }
}
