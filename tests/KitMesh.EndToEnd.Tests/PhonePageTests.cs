using System.Net.Http.Json;
using System.Text.Json;
using System.Text.RegularExpressions;
using Microsoft.Playwright;

namespace KitMesh.EndToEnd.Tests;

/// <summary>The phone page without signal: what is typed survives closing the page and reaches the hub later, once.</summary>
public sealed class PhonePageTests
{
    private const string Delivered = "Everything kept is delivered.";
    private static readonly LocatorAssertionsToContainTextOptions Patient = new() { Timeout = OpenBrowser.LongestWait };

    [Fact]
    public async Task Typed_WithoutSignalAndThePageClosed_ReachesTheHubExactlyOnce()
    {
        OpenBrowser.SkipWhereMissing();
        using var folder = new TempFolder();
        await using RunningNode hub = await RunningNode.HubAsync(folder.At("hub"), "--trip", Checkout.PathTo("deploy", "demo", "trip.yaml"));
        await using OpenBrowser open = await OpenBrowser.StartAsync(320, 640);
        await FirstVisitAsync(open.Page, hub.Address);

        await open.Context.SetOfflineAsync(true);
        await NoteAsync(open.Page, "case blue went with the valley team");
        await NoteAsync(open.Page, "wind picks up");
        await open.Page.CloseAsync();

        IPage again = await open.Context.NewPageAsync();
        await again.GotoAsync(hub.Address + "/phone");
        await Assertions.Expect(again.Locator("#kept")).ToContainTextAsync("● kept", Patient);
        await Assertions.Expect(again.Locator("#kept")).ToContainTextAsync("case blue went with the valley team", Patient);
        await Assertions.Expect(again.Locator("#delivery")).ToContainTextAsync("the hub cannot be reached", Patient);
        await Assertions.Expect(again.Locator("#coarse")).ToContainTextAsync("without any sun", Patient);

        await open.Context.SetOfflineAsync(false);
        await again.EvaluateAsync("dispatchEvent(new Event('online'))");
        await Assertions.Expect(again.Locator("#delivery")).ToContainTextAsync(Delivered, Patient);
        await again.ReloadAsync();
        await Assertions.Expect(again.Locator("#delivery")).ToContainTextAsync(Delivered, Patient);

        Assert.Equal(["case blue went with the valley team", "wind picks up"], await NotesAsync(hub.Address, 3));
        Assert.Equal(0, await again.Locator("#kept").GetByText("● kept").CountAsync());
    }

    [Fact]
    public async Task EveryEntry_Typed_IsTakenByTheHubWithoutARemark()
    {
        OpenBrowser.SkipWhereMissing();
        using var folder = new TempFolder();
        await using RunningNode hub = await RunningNode.HubAsync(folder.At("hub"), "--trip", Checkout.PathTo("deploy", "demo", "trip.yaml"));
        await using OpenBrowser open = await OpenBrowser.StartAsync(320, 640);
        await FirstVisitAsync(open.Page, hub.Address);

        int kinds = await open.Page.Locator("#entry-kind option").CountAsync();
        for (int i = 0; i < kinds; i++)
        {
            await open.Page.Locator("#entry-kind").SelectOptionAsync(new SelectOptionValue { Index = i });
            foreach (ILocator choice in await open.Page.Locator("#entry-fields select").AllAsync())
            {
                if (await choice.InputValueAsync() == "")
                {
                    await choice.SelectOptionAsync(new SelectOptionValue { Index = 1 });
                }
            }

            foreach (ILocator number in await open.Page.Locator("#entry-fields input[type=number]").AllAsync())
            {
                await number.FillAsync("12");
            }

            if (await open.Page.Locator("#entry-fields textarea").CountAsync() > 0)
            {
                await open.Page.Locator("#entry-fields textarea").FillAsync("words");
            }

            await open.Page.Locator("#entry-form button").ClickAsync();
            await Assertions.Expect(open.Page.Locator("#entry-said")).ToContainTextAsync("Kept:", Patient);
        }

        await open.KeepPictureAsync("phone-320.png");
        await open.Page.ReloadAsync();
        await Assertions.Expect(open.Page.Locator("#delivery")).ToContainTextAsync(Delivered, Patient);
        Dictionary<string, int> told = (await ReportsAsync(hub.Address, 10)).GroupBy(report => report.GetProperty("kind").GetString()!).ToDictionary(group => group.Key, group => group.Count());
        Assert.Equal(
            new Dictionary<string, int> { ["AgentState"] = 1, ["BatteryReading"] = 1, ["LoadReading"] = 2, ["PanelReading"] = 1, ["KitPlaced"] = 1, ["CardFormatted"] = 1, ["Note"] = 3 },
            told);
        Assert.All(await ReportsAsync(hub.Address, 10), report => Assert.False(report.TryGetProperty("odd", out JsonElement odd) && odd.GetString()!.Length > 0, report.ToString()));
    }

    [Fact]
    public async Task HalfTyped_ThePageClosedOverIt_ComesBackAndIsNotCalledKept()
    {
        OpenBrowser.SkipWhereMissing();
        using var folder = new TempFolder();
        await using RunningNode hub = await RunningNode.HubAsync(folder.At("hub"), "--trip", Checkout.PathTo("deploy", "demo", "trip.yaml"));
        await using OpenBrowser open = await OpenBrowser.StartAsync(390, 844);
        await FirstVisitAsync(open.Page, hub.Address);
        await open.Context.SetOfflineAsync(true);
        await open.Page.Locator("#entry-kind").SelectOptionAsync("swapped battery");
        await open.Page.Locator("#field-load").SelectOptionAsync("ridge camera");
        await open.Page.Locator("#field-charge").FillAsync("83");
        await Assertions.Expect(open.Page.Locator("#kept")).Not.ToContainTextAsync("battery swapped");
        await open.Page.WaitForFunctionAsync(DraftIsKept);
        await open.Page.CloseAsync();

        IPage again = await open.Context.NewPageAsync();
        await again.GotoAsync(hub.Address + "/phone");
        await Assertions.Expect(again.Locator("#entry-said")).ToContainTextAsync("Not kept yet", new() { Timeout = OpenBrowser.LongestWait });
        await Assertions.Expect(again.Locator("#field-load")).ToHaveValueAsync("ridge camera");
        await Assertions.Expect(again.Locator("#field-charge")).ToHaveValueAsync("83");
        await again.Locator("#entry-form button").ClickAsync();
        await Assertions.Expect(again.Locator("#entry-said")).ToContainTextAsync("Kept:", Patient);
        await open.Context.SetOfflineAsync(false);
        await again.EvaluateAsync("dispatchEvent(new Event('online'))");
        await Assertions.Expect(again.Locator("#delivery")).ToContainTextAsync(Delivered, Patient);

        Assert.Equal(["battery swapped, 83 %"], await NotesAsync(hub.Address, 3));
    }

    [Fact]
    public async Task HandoverAndTimecode_TypedOffline_StandOnTheHubsPagesAfterwards()
    {
        OpenBrowser.SkipWhereMissing();
        using var folder = new TempFolder();
        await using RunningNode hub = await RunningNode.HubAsync(folder.At("hub"), "--trip", Checkout.PathTo("deploy", "demo", "trip.yaml"));
        await using OpenBrowser open = await OpenBrowser.StartAsync(390, 844);
        await FirstVisitAsync(open.Page, hub.Address);
        await open.Context.SetOfflineAsync(true);
        await EnterAsync(open.Page, "who has a case, drive or device now", ("#field-item", "blue case"), ("#field-into", "ridge guide"));
        await EnterAsync(open.Page, "timecode set", ("#field-source", "ridge camera"));
        await Assertions.Expect(open.Page.Locator("#kept")).ToContainTextAsync("● kept", Patient);
        await open.KeepPictureAsync("phone-offline-390.png");

        await open.Context.SetOfflineAsync(false);
        await open.Page.EvaluateAsync("dispatchEvent(new Event('online'))");
        await Assertions.Expect(open.Page.Locator("#delivery")).ToContainTextAsync(Delivered, Patient);
        await ReportsAsync(hub.Address, 3);
        await open.Page.GotoAsync(hub.Address + "/kit");
        await Assertions.Expect(open.Page.Locator("tr", new() { HasText = "blue case" })).ToContainTextAsync("ridge guide", Patient);
        await open.Page.GotoAsync(hub.Address + "/morning");
        await Assertions.Expect(open.Page.Locator("li", new() { HasText = "ridge camera" }).First).ToContainTextAsync(new Regex("set (just now|[0-9]+ minutes ago)"), Patient);
    }

    [Fact]
    public async Task TwoWindows_TypedAtOnce_ShareOneJournalWithoutAGap()
    {
        OpenBrowser.SkipWhereMissing();
        using var folder = new TempFolder();
        await using RunningNode hub = await RunningNode.HubAsync(folder.At("hub"));
        await using OpenBrowser open = await OpenBrowser.StartAsync(768, 1024);
        await FirstVisitAsync(open.Page, hub.Address);
        IPage other = await open.Context.NewPageAsync();
        await other.GotoAsync(hub.Address + "/phone");
        const string Many = """
            async () => {
              const { Journal } = await import("/phone/journal.js");
              const journal = await Journal.open();
              for (let i = 0; i < 50; i++) { await journal.append({ note: { author: "lead", text: `${i}` } }, `${i}`); }
            }
            """;

        await Task.WhenAll(open.Page.EvaluateAsync(Many), other.EvaluateAsync(Many));
        await other.ReloadAsync();
        await Assertions.Expect(other.Locator("#delivery")).ToContainTextAsync(Delivered, Patient);

        List<ulong> sequences = [.. (await ReportsAsync(hub.Address, 101)).Select(report => ulong.Parse(report.GetProperty("sequence").GetString()!, System.Globalization.CultureInfo.InvariantCulture)).Order()];
        Assert.Equal(Enumerable.Range(1, 101).Select(i => (ulong)i), sequences);
    }

    private static async Task FirstVisitAsync(IPage page, string hub)
    {
        await page.GotoAsync(hub + "/phone");
        await page.Locator("#node").FillAsync("ridge-phone-2");
        await page.Locator("#author").FillAsync("the lead");
        await page.Locator("#naming-form button").ClickAsync();
        await Assertions.Expect(page.Locator("#delivery")).ToContainTextAsync(Delivered, Patient);
        await Assertions.Expect(page.Locator("#trip-words")).ToContainTextAsync("Names and figures of the hub", Patient);
        await page.WaitForFunctionAsync("() => navigator.serviceWorker.ready.then(() => true)");
    }

    private const string DraftIsKept = """
        async () => {
          const { Journal } = await import("/phone/journal.js");
          return (await (await Journal.open()).recall("draft"))?.fields?.charge === "83";
        }
        """;

    private static async Task EnterAsync(IPage page, string kind, params (string Field, string Value)[] fields)
    {
        await page.Locator("#entry-kind").SelectOptionAsync(kind);
        foreach ((string field, string value) in fields)
        {
            await page.Locator(field).SelectOptionAsync(value);
        }

        await page.Locator("#entry-form button").ClickAsync();
        await Assertions.Expect(page.Locator("#entry-said")).ToContainTextAsync("Kept:", Patient);
    }

    private static async Task NoteAsync(IPage page, string words)
    {
        await page.Locator("#entry-kind").SelectOptionAsync("note");
        await page.Locator("#entry-fields textarea").FillAsync(words);
        await page.Locator("#entry-form button").ClickAsync();
        await Assertions.Expect(page.Locator("#entry-said")).ToContainTextAsync($"Kept: {words}", Patient);
    }

    /// <summary>What the hub answers of the phone, once it answers at least so many: its view follows its journal by a moment.</summary>
    private static async Task<List<JsonElement>> ReportsAsync(string hub, int least)
    {
        using var http = new HttpClient();
        using var patience = CancellationTokenSource.CreateLinkedTokenSource(TestContext.Current.CancellationToken);
        patience.CancelAfter(TimeSpan.FromMilliseconds(OpenBrowser.LongestWait));
        while (true)
        {
            JsonElement answer = await http.GetFromJsonAsync<JsonElement>(new Uri($"{hub}/v1/reports?node=ridge-phone-2&pageSize=500"), patience.Token);
            List<JsonElement> reports = answer.TryGetProperty("reports", out JsonElement some) ? [.. some.EnumerateArray()] : [];
            if (reports.Count >= least)
            {
                return reports;
            }
        }
    }

    private static async Task<List<string>> NotesAsync(string hub, int least) =>
        [.. (await ReportsAsync(hub, least)).Where(report => report.GetProperty("kind").GetString() == "Note").Select(report => report.GetProperty("report").GetProperty("note").GetProperty("text").GetString()!).Order(StringComparer.Ordinal)];
}
