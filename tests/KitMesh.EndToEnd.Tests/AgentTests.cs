using System.Net.Http.Json;
using System.Text.Json;

namespace KitMesh.EndToEnd.Tests;

/// <summary>An agent as a user starts it, with the shipped example files.</summary>
public sealed class AgentTests
{
    public static TheoryData<string> Examples => ["agent.power.example.yaml", "agent.station.example.yaml", "agent.phone.example.yaml"];

    [Theory]
    [MemberData(nameof(Examples))]
    public async Task Check_ShippedExample_IsSound(string name)
    {
        Executable.Finished run = await Executable.RunAsync("agent", "--config", Checkout.PathTo("deploy", name), "--check");

        Assert.Equal(0, run.Code);
        Assert.Contains("is sound", run.Error, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Agent_WithAWrongFile_NamesEveryLine()
    {
        using var folder = new TempFolder();
        string wrong = folder.Write("agent.yaml", "node: Base\ndata: d\nreaders:\n  - { name: a, kind: sunspek }\n");

        Executable.Finished run = await Executable.RunAsync("agent", "--config", wrong);

        Assert.Equal(2, run.Code);
        Assert.Contains("agent.yaml:1: node", run.Error, StringComparison.Ordinal);
        Assert.Contains("agent.yaml:4: readers[0].kind", run.Error, StringComparison.Ordinal);
    }

    [Fact]
    public async Task SecondAgent_OnTheSameFolder_IsRefusedInWords()
    {
        using var folder = new TempFolder();
        string file = folder.Write("agent.yaml", "node: phone\ndata: d\nreaders:\n  - { name: t, kind: typed, folder: inbox }\n");
        await using RunningNode agent = await RunningNode.StartAsync("agent", "--json", "--config", file);

        Executable.Finished second = await Executable.RunAsync("agent", "--config", file);

        Assert.Equal(2, second.Code);
        Assert.DoesNotContain("   at ", second.Error, StringComparison.Ordinal);
    }

    [Fact]
    public async Task TypedLine_WrittenWhileTheHubIsDown_ArrivesWhenItIsBack()
    {
        using var folder = new TempFolder();
        using var http = new HttpClient();
        string trip = Checkout.PathTo("deploy", "trip.example.yaml");
        string address;
        await using (RunningNode first = await RunningNode.HubAsync(folder.At("hub"), "--trip", trip))
        {
            address = first.Address;
            await first.StopAsync();
        }

        string file = folder.Write("agent.yaml", $"node: phone\ndata: d\nhubs: [{address}]\nsendWait: 0 s\nreaders:\n  - {{ name: t, kind: typed, folder: inbox, interval: 1 s }}\n");
        await using RunningNode agent = await RunningNode.StartAsync("agent", "--json", "--config", file);
        Directory.CreateDirectory(folder.At("inbox"));
        File.WriteAllText(folder.At("inbox", "today.jsonl"), """{"report":"battery","subject":"main bank","volts":13.21,"probes":[4.5],"rested":true}""" + "\n");
        await using RunningNode again = await RunningNode.StartAsync("hub", "--json", "--data", folder.At("hub"), "--trip", trip, "--listen", address);

        JsonElement report = await UntilAsync(async () =>
        {
            JsonElement page = await http.GetFromJsonAsync<JsonElement>($"{address}/v1/reports?kinds=BatteryReading", TestContext.Current.CancellationToken);
            return page.TryGetProperty("reports", out JsonElement reports) && reports.GetArrayLength() > 0 ? reports[0] : null;
        });

        Assert.Contains("13.21", report.ToString(), StringComparison.Ordinal);
    }

    private static async Task<JsonElement> UntilAsync(Func<Task<JsonElement?>> look)
    {
        using var timer = new PeriodicTimer(TimeSpan.FromMilliseconds(200));
        for (int i = 0; i < 300; i++)
        {
            if (await look() is { } found)
            {
                return found;
            }

            await timer.WaitForNextTickAsync(TestContext.Current.CancellationToken);
        }

        throw new TimeoutException("It did not arrive within a minute.");
    }
}
