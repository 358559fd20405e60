using System.Net.Http.Json;
using System.Text.Json;
using KitMesh.EndToEnd.Tests.Faults;

namespace KitMesh.EndToEnd.Tests;

/// <summary>A hub as a user starts it: trip file, data folder, restart.</summary>
public sealed class HubTests
{
    private static readonly string Trip = Checkout.PathTo("deploy", "trip.example.yaml");

    [Fact]
    public async Task Hub_WithTripFile_AnswersPageApiAndCommands()
    {
        using var folder = new TempFolder();
        await using RunningNode hub = await RunningNode.HubAsync(folder.At("hub"), "--trip", Trip);
        using var http = new HttpClient();

        JsonElement status = await http.GetFromJsonAsync<JsonElement>($"{hub.Address}/v1/status", TestContext.Current.CancellationToken);
        string page = await http.GetStringAsync(hub.Address, TestContext.Current.CancellationToken);
        Executable.Finished ledger = await Executable.RunAsync("ledger", "--hub", hub.Address, "--json");
        Executable.Finished outlook = await Executable.RunAsync("outlook", "--hub", hub.Address, "--json");
        Executable.Finished advice = await Executable.RunAsync("advice", "--hub", hub.Address);

        Assert.Equal("ibex in late winter", status.GetProperty("trip").GetString());
        Assert.Contains("<html", page, StringComparison.OrdinalIgnoreCase);
        Assert.InRange(ledger.Code, 0, 1);
        Assert.Single(JsonDocument.Parse(ledger.Output).RootElement.GetProperty("cards").EnumerateArray());
        Assert.InRange(outlook.Code, 0, 1);
        Assert.Equal(JsonValueKind.Object, JsonDocument.Parse(outlook.Output).RootElement.ValueKind);
        Assert.InRange(advice.Code, 0, 1);
        Assert.DoesNotContain('\u001b', advice.Output);
        Assert.Equal(130, await hub.StopAsync());
    }

    [Fact]
    public async Task Hub_KilledAndStartedAgain_KeepsItsJournalAndDeclaresNothingTwice()
    {
        using var folder = new TempFolder();
        using var http = new HttpClient();
        JsonElement before;
        await using (RunningNode hub = await RunningNode.HubAsync(folder.At("hub"), "--trip", Trip))
        {
            before = await StatusAsync(http, hub);
            await hub.KillAsync();
        }

        await using RunningNode again = await RunningNode.HubAsync(folder.At("hub"), "--trip", Trip);
        JsonElement after = await StatusAsync(http, again);

        Assert.Equal(Declared(before), Declared(after));
        JsonElement origin = Assert.Single(after.GetProperty("origins").EnumerateArray());
        Assert.Equal(before.GetProperty("origins")[0].GetProperty("origin").ToString(), origin.GetProperty("origin").ToString());
        JsonElement range = Assert.Single(origin.GetProperty("ranges").EnumerateArray());
        Assert.Equal("1", range.GetProperty("first").GetString());
        Assert.True(Number(range, "last") >= Number(before.GetProperty("origins")[0].GetProperty("ranges")[0], "last"));
    }

    [Fact]
    public async Task SecondHub_OnTheSameFolder_IsRefusedInWordsAndTheFirstLosesNothing()
    {
        using var folder = new TempFolder();
        using var http = new HttpClient();
        ulong acknowledged;
        await using (RunningNode hub = await RunningNode.HubAsync(folder.At("hub")))
        {
            await using var pusher = new Pusher(new Uri(hub.Address), () => Task.CompletedTask);
            await pusher.MoreAsync(200);

            Task<Executable.Finished> starting = Executable.RunAsync("hub", "--data", folder.At("hub"), "--listen", "http://127.0.0.1:0");
            await pusher.MoreAsync(200);
            Executable.Finished second = await starting;
            await pusher.MoreAsync(200);

            Assert.Equal(2, second.Code);
            Assert.StartsWith("kitmesh: ", second.Error, StringComparison.Ordinal);
            Assert.DoesNotContain("   at ", second.Error, StringComparison.Ordinal);
            await hub.KillAsync();
            acknowledged = pusher.Acknowledged;
        }

        await using RunningNode again = await RunningNode.HubAsync(folder.At("hub"));
        JsonElement origin = (await StatusAsync(http, again)).GetProperty("origins").EnumerateArray()
            .Single(origin => origin.GetProperty("origin").GetProperty("node").GetString() == Pusher.Origin.Node.Value);
        JsonElement range = Assert.Single(origin.GetProperty("ranges").EnumerateArray());
        Assert.Equal(1, Number(range, "first"));
        Assert.InRange(Number(range, "last"), (long)acknowledged, long.MaxValue);
    }

    [Fact]
    public async Task Hub_WithAWrongTripFile_NamesEveryLineAndStartsNothing()
    {
        using var folder = new TempFolder();
        string wrong = folder.Write("trip.yaml", File.ReadAllText(Trip).Replace("capacity: 100 Ah", "capacity: 1280 Wh", StringComparison.Ordinal).Replace("pannels", "panels", StringComparison.Ordinal).Replace("rated: 200 W", "ratd: 200 W", StringComparison.Ordinal));

        Executable.Finished run = await Executable.RunAsync("hub", "--trip", wrong, "--data", folder.At("hub"));

        Assert.Equal(2, run.Code);
        Assert.Contains("packs[0].capacity", run.Error, StringComparison.Ordinal);
        Assert.Contains("Did you mean \"rated\"?", run.Error, StringComparison.Ordinal);
        Assert.False(Directory.Exists(folder.At("hub")));
    }

    private static Task<JsonElement> StatusAsync(HttpClient http, RunningNode hub) =>
        http.GetFromJsonAsync<JsonElement>($"{hub.Address}/v1/status", TestContext.Current.CancellationToken);

    private static long Declared(JsonElement status) =>
        Number(status.GetProperty("kinds").EnumerateArray().Single(kind => kind.GetProperty("kind").GetString() == "KitDeclared"), "count");

    private static long Number(JsonElement element, string name) =>
        long.Parse(element.GetProperty(name).ToString(), System.Globalization.CultureInfo.InvariantCulture);
}
