using System.Globalization;
using System.Net.Http.Json;
using System.Text.Json;
using Microsoft.Playwright;

namespace KitMesh.EndToEnd.Tests;

/// <summary>What the phone page keeps is delivered once over a bad link, leaves as a file, and tells no battery that nobody knows.</summary>
public sealed class PhoneKeepsTests
{
    private const string Delivered = "Everything kept is delivered.";
    private static readonly LocatorAssertionsToContainTextOptions Patient = new() { Timeout = OpenBrowser.LongestWait };

    [Fact]
    public async Task Delivery_WhoseAnswersAreLost_IsRepeatedAndStandsOnceOnTheHub()
    {
        OpenBrowser.SkipWhereMissing();
        using var folder = new TempFolder();
        await using RunningNode hub = await RunningNode.HubAsync(folder.At("hub"), "--trip", Checkout.PathTo("deploy", "demo", "trip.yaml"));
        await using OpenBrowser open = await OpenBrowser.StartAsync(320, 640);
        await FirstVisitAsync(open.Page, hub.Address);
        int lost = 0;
        await open.Page.RouteAsync("**/v1/push", async route =>
        {
            // The hub takes it, and its answer never arrives: the worst that a thin link does.
            if (route.Request.PostData!.Contains("\"note\"", StringComparison.Ordinal) && Interlocked.Increment(ref lost) <= 3)
            {
                await route.FetchAsync();
                await route.AbortAsync();
            }
            else
            {
                await route.ContinueAsync();
            }
        });

        await NoteAsync(open.Page, "wind picks up");
        await Assertions.Expect(open.Page.Locator("#delivery")).ToContainTextAsync("the hub cannot be reached", Patient);
        await Assertions.Expect(open.Page.Locator("#kept")).ToContainTextAsync("● kept", Patient);
        while (Volatile.Read(ref lost) < 3)
        {
            await NoteAsync(open.Page, string.Create(CultureInfo.InvariantCulture, $"and more {lost}"));
            await Assertions.Expect(open.Page.Locator("#delivery")).ToContainTextAsync("the hub cannot be reached", Patient);
        }

        await open.Page.UnrouteAsync("**/v1/push");
        await open.Page.EvaluateAsync("dispatchEvent(new Event('online'))");
        await Assertions.Expect(open.Page.Locator("#delivery")).ToContainTextAsync(Delivered, Patient);

        int typed = await open.Page.Locator("#kept li").CountAsync();
        List<JsonElement> held = await ReportsAsync(hub.Address, typed);
        Assert.Equal(typed, held.Count);
        Assert.Equal(Enumerable.Range(1, typed).Select(i => i.ToString(CultureInfo.InvariantCulture)).Order(StringComparer.Ordinal), held.Select(report => report.GetProperty("sequence").GetString()!).Order(StringComparer.Ordinal));
    }

    [Fact]
    public async Task Export_BeforeTheBrowserDropsItsStorage_HoldsEverythingThatWasKept()
    {
        OpenBrowser.SkipWhereMissing();
        using var folder = new TempFolder();
        await using RunningNode hub = await RunningNode.HubAsync(folder.At("hub"), "--trip", Checkout.PathTo("deploy", "demo", "trip.yaml"));
        await using OpenBrowser open = await OpenBrowser.StartAsync(390, 844);
        await FirstVisitAsync(open.Page, hub.Address);
        await open.Context.SetOfflineAsync(true);
        await NoteAsync(open.Page, "case blue went with the valley team");
        await Assertions.Expect(open.Page.Locator("#storage")).ToContainTextAsync("storage", Patient);

        IDownload download = await open.Page.RunAndWaitForDownloadAsync(() => open.Page.Locator("#export").ClickAsync());
        string file = folder.At("saved.json");
        await download.SaveAsAsync(file);

        using JsonDocument saved = JsonDocument.Parse(await File.ReadAllTextAsync(file, TestContext.Current.CancellationToken));
        Assert.Equal("ridge-phone-2", saved.RootElement.GetProperty("self").GetProperty("node").GetString());
        JsonElement[] reports = [.. saved.RootElement.GetProperty("reports").EnumerateArray()];
        Assert.Equal(2, reports.Length); // The sign of life and the note.
        Assert.Contains(reports, report => report.GetProperty("report").TryGetProperty("note", out JsonElement note) && note.GetProperty("text").GetString() == "case blue went with the valley team");
    }

    /// <summary>W3C "Battery Status API", section 6: level 1, charging, chargingTime 0 and dischargingTime infinite are what a browser says that does not know.</summary>
    [Theory]
    [InlineData("{ level: 1, charging: true, chargingTime: 0, dischargingTime: Infinity }", null)]
    [InlineData("undefined", null)]
    [InlineData("{ level: 0.42, charging: false, chargingTime: Infinity, dischargingTime: 9000 }", 0.42)]
    [InlineData("{ level: 1, charging: false, chargingTime: Infinity, dischargingTime: 9000 }", 1.0)]
    public async Task Battery_OfThePhone_IsReportedWhereTheBrowserKnowsItOnly(string battery, double? charge)
    {
        OpenBrowser.SkipWhereMissing();
        using var folder = new TempFolder();
        await using RunningNode hub = await RunningNode.HubAsync(folder.At("hub"));
        await using OpenBrowser open = await OpenBrowser.StartAsync(390, 844);
        await open.Page.AddInitScriptAsync($"navigator.getBattery = {(battery == "undefined" ? "undefined" : $"async () => ({battery})")};");
        await FirstVisitAsync(open.Page, hub.Address);

        JsonElement state = (await ReportsAsync(hub.Address, 1)).Single().GetProperty("report").GetProperty("agentState");

        Assert.Equal(charge, state.TryGetProperty("charge", out JsonElement told) ? told.GetDouble() : null);
        await Assertions.Expect(open.Page.Locator("#kept")).ToContainTextAsync(charge is null ? "the browser does not tell the battery" : string.Create(CultureInfo.InvariantCulture, $"battery at {charge * 100:0} %"), Patient);
    }

    private static async Task FirstVisitAsync(IPage page, string hub)
    {
        await page.GotoAsync(hub + "/phone");
        await page.Locator("#node").FillAsync("ridge-phone-2");
        await page.Locator("#author").FillAsync("the lead");
        await page.Locator("#naming-form button").ClickAsync();
        await Assertions.Expect(page.Locator("#delivery")).ToContainTextAsync(Delivered, Patient);
        await page.WaitForFunctionAsync("() => navigator.serviceWorker.ready.then(() => true)");
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
}
