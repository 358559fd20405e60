using System.Text.Json;

namespace KitMesh.EndToEnd.Tests;

/// <summary>The first command of README, on real processes, sockets and files.</summary>
/// <remarks>Four processes that play a trip in a minute and a half: beside browsers and another demo two cores are not enough.</remarks>
[Collection(AloneTests.Name)]
public sealed class DemoTests
{
    private static readonly TimeSpan Longest = TimeSpan.FromMinutes(12);

    [Fact]
    public async Task Once_Json_IsOneObjectWhoseFiguresAgreeWithTheReports()
    {
        Executable.Finished run = await Executable.RunAsync(Longest, "demo", "--once", "--json", "--days", "9");

        Assert.True(run.Code == 0, run.Error);
        Assert.Single(run.Output.TrimEnd().Split('\n'));
        JsonElement all = JsonDocument.Parse(run.Output).RootElement;
        Assert.Equal(["outlook", "ledger", "alerts", "advice", "reports", "digest"], all.EnumerateObject().Select(property => property.Name));
        Assert.Matches("^[0-9a-f]{64}$", all.GetProperty("digest").GetString());

        JsonElement reports = all.GetProperty("reports");
        int clips = Count(reports, "ClipFound");
        int verified = Count(reports, "CopyVerified");
        Assert.True(clips > 20, $"{clips} clips");
        Assert.True(verified >= 2 * clips, $"{verified} copies verified of {clips} clips");
        Assert.True(Count(reports, "BatteryReading") > 50);
        Assert.True(Count(reports, "PanelReading") > 20);
        Assert.True(Count(reports, "TemperatureReading") > 50);
        Assert.True(Count(reports, "KitDeclared") > 50);
        Assert.True(Count(reports, "CopyFailed") > 0, "the damaged drive was not told");

        JsonElement ledger = all.GetProperty("ledger");
        Assert.True(ledger.GetProperty("cards").GetArrayLength() == 9, ledger.ToString());
    }

    private static int Count(JsonElement reports, string kind) =>
        reports.TryGetProperty(kind, out JsonElement count) ? int.Parse(count.ToString(), System.Globalization.CultureInfo.InvariantCulture) : 0;
}
