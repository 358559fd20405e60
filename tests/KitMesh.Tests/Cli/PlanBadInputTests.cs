using KitMesh.Cli.Frame;
using KitMesh.Tests.Architecture;

namespace KitMesh.Tests.Cli;

/// <summary>Trip files that cannot be right, as `kitmesh plan` takes them: what is contradictory or out of order is said, what is only odd is asked, what is hard is planned.</summary>
public sealed class PlanBadInputTests : IDisposable
{
    private readonly string _folder = Directory.CreateTempSubdirectory("kitmesh-plan-").FullName;

    public void Dispose() => Directory.Delete(_folder, recursive: true);

    [Fact]
    public async Task Plan_PlaceWhereTheSunDoesNotRise_CountsNoSunAndStillAnswers()
    {
        // 82 degrees north: from the middle of October to the end of February the sun stays under the horizon.
        CliRun run = await PlanAsync(file => file
            .Replace("latitude: 41.9", "latitude: 82", StringComparison.Ordinal)
            .Replace("firstDay: 2027-02-08", "firstDay: 2027-01-08", StringComparison.Ordinal)
            .Replace("lastDay: 2027-03-05", "lastDay: 2027-02-05", StringComparison.Ordinal), "--json");

        Assert.True(run.Code == ExitCode.BadNews, run.Talk);
        using var document = System.Text.Json.JsonDocument.Parse(run.Output);
        System.Text.Json.JsonElement sum = document.RootElement.GetProperty("plan").GetProperty("sums")[0];

        // The middle of the counts' lowest bin, less than a tenth of a Wh for the whole month.
        Assert.InRange(sum.GetProperty("sunMedian").GetDouble(), 0, 0.1);
        Assert.Equal(1, document.RootElement.GetProperty("plan").GetProperty("energy").GetProperty("banks")[0].GetProperty("shortByLastDay").GetProperty("best").GetDouble());
    }

    [Fact]
    public async Task Plan_DatesOutOfOrder_AreSaidAndNothingIsPlanned()
    {
        CliRun run = await PlanAsync(file => file.Replace("2027-03-05", "2027-01-05", StringComparison.Ordinal));

        Assert.Equal(ExitCode.BadInput, run.Code);
        Assert.Equal("", run.Output);
        Assert.Contains("lastDay", run.Talk, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Plan_WattHoursWhereAmpereHoursBelong_AsksBackWithWhatWasProbablyMeant()
    {
        CliRun run = await PlanAsync(file => file.Replace("capacity: 100 Ah", "capacity: 1280 Ah", StringComparison.Ordinal));

        Assert.Contains("Did you mean 1280 Wh? That is \"100 Ah\".", run.Talk, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Plan_TwoItemsOfOneName_ContradictEachOther()
    {
        CliRun run = await PlanAsync(file => file + "\nteams:\n  - { name: base team, home: base camp }\n");

        Assert.Equal(ExitCode.BadInput, run.Code);
        Assert.Equal("", run.Output);
        Assert.Contains("trip.yaml:", run.Talk, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Plan_ChoicesThatCannotMeetTheNeed_SayWhatWould()
    {
        CliRun run = await PlanAsync(
            file => file + "\nchoices:\n  - item: pack 1\n    most: 2\n    mass: 11 kg\n  - item: drive red\n    most: 1\n    mass: 0.2 kg\n", "--lightest");

        Assert.Equal(ExitCode.BadNews, run.Code);
        Assert.Contains("none of the choices is good enough", run.Output, StringComparison.Ordinal);
        Assert.Matches("would (be|do)", run.Output);
    }

    [Fact]
    public async Task Plan_SpoiltYaml_IsSaidWithItsLine()
    {
        CliRun run = await PlanAsync(file => file.Replace("teams:", "teams: [", StringComparison.Ordinal));

        Assert.Equal(ExitCode.BadInput, run.Code);
        Assert.Contains("trip.yaml:", run.Talk, StringComparison.Ordinal);
    }

    private Task<CliRun> PlanAsync(Func<string, string> change, params string[] more)
    {
        string file = Path.Combine(_folder, "trip.yaml");
        string before = File.ReadAllText(SourceTree.PathTo("deploy", "trip.example.yaml"));
        string after = change(before);
        Assert.NotEqual(before, after);
        File.WriteAllText(file, after);
        return CliRun.OfAsync(["plan", file, "--paths", "1000", .. more]);
    }
}
