using System.Globalization;
using System.Net.Http.Json;
using System.Text.Json;

namespace KitMesh.EndToEnd.Tests;

/// <summary>The product without the demo: a trip file, agent files on devices of one's own, and the questions of the evening.</summary>
public sealed class OwnKitTests : IDisposable
{
    private readonly TempFolder _folder = new();

    public void Dispose() => _folder.Dispose();

    [Fact]
    public async Task Devices_ReadByCommandLoggerAndKernel_AnswerTheEveningsQuestions()
    {
        await using RunningNode hub = await RunningNode.HubAsync(_folder.At("hub"), "--trip", TripOfToday());
        WriteDevices();
        await using RunningNode agent = await RunningNode.StartAsync("agent", "--json", "--config", AgentFile(hub.Address));
        await HeardAsync(hub, "BatteryReading", "TemperatureReading", "PanelReading", "LoadReading");

        Executable.Finished outlook = await Executable.RunAsync("outlook", "--hub", hub.Address);
        Executable.Finished advice = await Executable.RunAsync("advice", "--hub", hub.Address);
        Executable.Finished ledger = await Executable.RunAsync("ledger", "--hub", hub.Address);
        JsonElement json = JsonDocument.Parse((await Executable.RunAsync("outlook", "--hub", hub.Address, "--json")).Output).RootElement;

        Assert.Contains($"(crew time, {ZoneWords})", outlook.Output, StringComparison.Ordinal);
        Assert.Contains("The coldest probe reads 3.5 °C", outlook.Output, StringComparison.Ordinal);
        Assert.Contains("Tonight's charging", outlook.Output, StringComparison.Ordinal);
        Assert.Contains("Lithium packs can burn.", outlook.Output, StringComparison.Ordinal);
        Assert.Contains("What to do next", advice.Output, StringComparison.Ordinal);
        Assert.Contains("card a1", ledger.Output, StringComparison.Ordinal);
        foreach (Executable.Finished shown in (Executable.Finished[])[outlook, advice, ledger])
        {
            Assert.InRange(shown.Code, 0, 1);
            Assert.Equal("", shown.Error);
            Assert.DoesNotMatch("[0-9]T[0-9]{2}:|[0-9]Z", shown.Output);
            Assert.All(shown.Output.Split('\n'), line => Assert.InRange(line.TrimEnd().Length, 0, 120));
        }

        JsonElement bank = Assert.Single(json.GetProperty("energy").GetProperty("banks").EnumerateArray());
        Assert.Equal(ZoneWords, json.GetProperty("zone").GetString());
        Assert.Equal(3.5, bank.GetProperty("readiness").GetProperty("coldest").GetDouble());
        Assert.EndsWith("Z", json.GetProperty("asOf").GetString(), StringComparison.Ordinal);
    }

    [Fact]
    public async Task Phone_TypedReading_WithoutATemperature_NeverSaysChargeNow()
    {
        await using RunningNode hub = await RunningNode.HubAsync(_folder.At("hub"), "--trip", TripOfToday());
        Directory.CreateDirectory(_folder.At("inbox"));
        _folder.Write("inbox/today.jsonl", """{"report":"battery","subject":"main bank","volts":13.2,"rested":true}""" + "\n");
        string file = _folder.Write("agent.yaml", $"node: phone\ndata: d\nhubs: [{hub.Address}]\nsendWait: 0 s\nreaders:\n  - {{ name: t, kind: typed, folder: inbox, interval: 1 s }}\n");
        await using RunningNode agent = await RunningNode.StartAsync("agent", "--json", "--config", file);
        await HeardAsync(hub, "BatteryReading");

        Executable.Finished outlook = await Executable.RunAsync("outlook", "--hub", hub.Address);
        Executable.Finished advice = await Executable.RunAsync("advice", "--hub", hub.Address);

        Assert.Contains("measure first", outlook.Output, StringComparison.Ordinal);
        Assert.Contains("do not charge main bank yet: ", advice.Output, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("There is no team \"nobody\". There are: base team.", "outlook", "--team", "nobody")]
    [InlineData("There is no team \"nobody\". There are: base team.", "advice", "--team", "nobody")]
    [InlineData("There is no card \"card zz\". There are: card a1.", "ledger", "--card", "card zz")]
    [InlineData("Use 1000 to 100000 paths", "outlook", "--paths", "5")]
    public async Task Question_AboutWhatIsNotThere_IsRefusedWithWhatIs(string said, params string[] words)
    {
        await using RunningNode hub = await RunningNode.HubAsync(_folder.At("hub"), "--trip", TripOfToday());

        Executable.Finished run = await Executable.RunAsync([.. words, "--hub", hub.Address, "--json"]);

        Assert.Equal(2, run.Code);
        Assert.Equal("", run.Output);
        Assert.Contains(said, run.Error, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Team_InOtherCapitals_IsFound()
    {
        await using RunningNode hub = await RunningNode.HubAsync(_folder.At("hub"), "--trip", TripOfToday());

        Executable.Finished run = await Executable.RunAsync("outlook", "--team", "Base Team", "--hub", hub.Address);

        Assert.Contains("main bank", run.Output, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Hub_AskedByHttpsWithoutAnIdentity_SaysWhatToLookAt()
    {
        await using RunningNode hub = await RunningNode.HubAsync(_folder.At("hub"));

        Executable.Finished run = await Executable.RunAsync("ledger", "--identity", _folder.At("none"), "--hub", hub.Address.Replace("http:", "https:", StringComparison.Ordinal));

        Assert.Equal(2, run.Code);
        Assert.Contains("kitmesh enrol", run.Error, StringComparison.Ordinal);
        Assert.Contains("http address", run.Error, StringComparison.Ordinal);
        Assert.DoesNotContain("Exception", run.Error, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Hub_OnATakenPort_SaysSoOnce()
    {
        await using RunningNode hub = await RunningNode.HubAsync(_folder.At("hub"));

        Executable.Finished second = await Executable.RunAsync("hub", "--data", _folder.At("second"), "--listen", hub.Address);

        Assert.Equal(2, second.Code);
        Assert.StartsWith("kitmesh: The address", second.Error, StringComparison.Ordinal);
        Assert.Equal(2, second.Error.TrimEnd().Split('\n').Length);
    }

    [Fact]
    public async Task Agent_GivenATripFile_SaysWhereThatGoes()
    {
        Executable.Finished run = await Executable.RunAsync("agent", "--config", TripOfToday());

        Assert.Equal(2, run.Code);
        Assert.Contains("is a trip file", run.Error, StringComparison.Ordinal);
        Assert.Contains("kitmesh hub --trip", run.Error, StringComparison.Ordinal);
    }

    /// <summary>A zone in which it is evening now: what can still be charged before the morning must not hang on when the test runs.</summary>
    private static TimeSpan Zone { get; } = TimeSpan.FromHours(((20 - TimeProvider.System.GetUtcNow().Hour + 36) % 24) - 12);

    private static string ZoneWords => string.Create(CultureInfo.InvariantCulture, $"{(Zone < TimeSpan.Zero ? '-' : '+')}{Zone:hh}:00");

    /// <summary>The example trip, moved so that today is its second day and now is an evening.</summary>
    private string TripOfToday()
    {
        DateTimeOffset today = TimeProvider.System.GetUtcNow().ToOffset(Zone);
        string Day(int from) => today.AddDays(from).ToString("yyyy-MM-dd", CultureInfo.InvariantCulture);
        string text = File.ReadAllText(Checkout.PathTo("deploy", "trip.example.yaml"))
            .Replace("\"+06:00\"", $"\"{ZoneWords}\"", StringComparison.Ordinal)
            .Replace("2027-02-08", Day(-1), StringComparison.Ordinal)
            .Replace("2027-02-09", Day(-1), StringComparison.Ordinal)
            .Replace("2027-02-20", Day(11), StringComparison.Ordinal)
            .Replace("2027-03-05", Day(24), StringComparison.Ordinal)
            .Replace("2027-03-09", Day(28), StringComparison.Ordinal);
        return _folder.Write("trip.yaml", text);
    }

    private void WriteDevices()
    {
        string supply = Directory.CreateDirectory(_folder.At("sys", "BAT0")).FullName;
        foreach ((string name, string value) in (ReadOnlySpan<(string, string)>)[("type", "Battery"), ("status", "Discharging"), ("capacity", "71"), ("voltage_now", "11800000"), ("current_now", "900000")])
        {
            File.WriteAllText(Path.Combine(supply, name), value + "\n");
        }

        string now = TimeProvider.System.GetUtcNow().ToString("yyyy-MM-dd HH:mm:ss", CultureInfo.InvariantCulture);
        _folder.Write("log.csv", $"time,bank V,bank A,panel W\n{now},13.10,4.2,55\n");
        _folder.Write("probes.sh", """
            echo '{"report":"temperature","subject":"base camp","temperature":-11.5}'
            echo '{"report":"battery","subject":"main bank","probes":[3.5,4.25]}'

            """);
    }

    private string AgentFile(string hub) => _folder.Write("agent.yaml", $$"""
        node: base-power
        data: data
        hubs: [{{hub}}]
        sendWait: 0 s
        packs:
          - { name: main bank, chemistry: lfp, series: 4, capacity: 100 Ah }
        readers:
          - name: probes
            kind: command
            run: [/bin/sh, {{_folder.At("probes.sh")}}]
            every: 5 s
          - name: logger
            kind: csv-log
            file: log.csv
            battery: main bank
            panel: panel 1
            timeColumn: time
            columns:
              - { header: bank V, meaning: battery volts, unit: V }
              - { header: bank A, meaning: battery amperes, unit: A }
              - { header: panel W, meaning: panel watts, unit: W }
          - name: camera battery
            kind: power-supply
            root: sys
            supply: BAT0
            load: camera a
            interval: 5 s

        """);

    private static async Task HeardAsync(RunningNode hub, params string[] kinds)
    {
        using var http = new HttpClient();
        using var timer = new PeriodicTimer(TimeSpan.FromMilliseconds(200));
        for (int i = 0; i < 600; i++)
        {
            JsonElement status = await http.GetFromJsonAsync<JsonElement>($"{hub.Address}/v1/status", TestContext.Current.CancellationToken);
            HashSet<string?> heard = [.. status.GetProperty("kinds").EnumerateArray().Select(kind => kind.GetProperty("kind").GetString())];
            if (kinds.All(heard.Contains))
            {
                return;
            }

            await timer.WaitForNextTickAsync(TestContext.Current.CancellationToken);
        }

        throw new TimeoutException($"The hub did not hear of {string.Join(", ", kinds)} within two minutes.");
    }
}
