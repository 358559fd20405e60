using Microsoft.Playwright;

namespace KitMesh.EndToEnd.Tests;

/// <summary>A link changes the page in place: the document, its live signal and its charts go on.</summary>
[Collection(DemoTripTests.Name)]
public sealed class NavigationTests(DemoTrip demo)
{
    private const float LongestWait = OpenBrowser.LongestWait;
    private static readonly PageGotoOptions Patient = new() { WaitUntil = WaitUntilState.Load, Timeout = LongestWait };
    private static readonly (string Name, string Path)[] Links = [("Morning", "/morning"), ("Energy", "/energy"), ("Footage", "/footage"), ("Trip", "/trip"), ("Kit", "/kit"), ("Reports", "/reports"), ("Tonight", "/")];

    [Fact]
    public async Task Link_Clicked_ChangesThePageInPlaceAndTheSignalGoesOn()
    {
        OpenBrowser.SkipWhereMissing();
        await using OpenBrowser open = await OpenBrowser.StartAsync(390, 844);
        List<string> documents = [];
        List<string> signals = [];
        List<string> wrong = [];
        open.Page.Request += (_, request) =>
        {
            documents.AddRange(request.ResourceType == "document" ? [request.Url] : []);
            signals.AddRange(request.Url.EndsWith("/live", StringComparison.Ordinal) ? [request.Url] : []);
        };
        open.Page.Console += (_, message) => wrong.AddRange(message.Type is "error" or "warning" ? [message.Text] : []);
        open.Page.PageError += (_, error) => wrong.Add(error);
        await ReadyAsync(open.Page, demo.Address + "/");
        await open.Page.EvaluateAsync("document.stays = 'the same document'");

        foreach ((string name, string path) in Links)
        {
            await open.Page.EvaluateAsync("scrollTo(0, 400)");
            await open.Page.Locator("nav a", new() { HasTextString = name }).First.ClickAsync();
            await Assertions.Expect(open.Page.Locator("h1")).ToHaveTextAsync(name);
            Assert.Equal(demo.Address + path, open.Page.Url);
            Assert.Equal("the same document", await open.Page.EvaluateAsync<string>("document.stays"));
            Assert.Equal(0, await open.Page.EvaluateAsync<int>("Math.round(scrollY)"));
            await Assertions.Expect(open.Page.Locator("h1")).ToBeFocusedAsync();
            await Assertions.Expect(open.Page.Locator("nav a[aria-current=page]")).ToHaveTextAsync(name);
            await Assertions.Expect(open.Page.Locator("#freshness")).ToContainTextAsync("Live.");
            await Assertions.Expect(open.Page).ToHaveTitleAsync(new System.Text.RegularExpressions.Regex($"^{name}"));
        }

        await open.Page.GoBackAsync();
        await Assertions.Expect(open.Page.Locator("h1")).ToHaveTextAsync("Reports");
        Assert.Equal("the same document", await open.Page.EvaluateAsync<string>("document.stays"));
        Assert.Single(documents);
        Assert.Single(signals);
        Assert.Empty(wrong);
    }

    [Fact]
    public async Task Link_ToAPageWithCharts_DrawsThemAndLeavesNoneBehind()
    {
        OpenBrowser.SkipWhereMissing();
        await using OpenBrowser open = await OpenBrowser.StartAsync(768, 1024);
        await ReadyAsync(open.Page, demo.Address + "/kit"); // A page without charts: their scripts are not there yet.
        for (int i = 0; i < 2; i++)
        {
            await open.Page.Locator("nav a[href='/energy']").ClickAsync();
            await open.Page.WaitForFunctionAsync("() => { const figures = [...document.querySelectorAll('figure.chart')]; return figures.length > 0 && figures.every((one) => one.dataset.drawn === 'yes'); }");
            Assert.Equal(await open.Page.Locator("figure.chart").CountAsync(), await open.Page.Locator(".uplot").CountAsync());
            await open.Page.Locator("nav a[href='/kit']").ClickAsync();
            await Assertions.Expect(open.Page.Locator("h1")).ToHaveTextAsync("Kit");
            Assert.Equal(0, await open.Page.Locator(".uplot, figure").CountAsync());
        }
    }

    [Fact]
    public async Task WhatIf_ReachedByALink_FollowsTheSlider()
    {
        OpenBrowser.SkipWhereMissing();
        await using OpenBrowser open = await OpenBrowser.StartAsync(390, 844);
        await ReadyAsync(open.Page, demo.Address + "/energy");
        await open.Page.Locator("a[href='/what-if']").ClickAsync();
        await Assertions.Expect(open.Page.Locator("h1")).ToHaveTextAsync("What if");
        await Assertions.Expect(open.Page.Locator("#what-if button")).ToBeHiddenAsync();

        await open.Page.Locator("#cloudy").FillAsync("3");

        await Assertions.Expect(open.Page.Locator("output[for=cloudy]")).ToHaveTextAsync("3");
        await open.Page.WaitForURLAsync("**/what-if?*cloudy=3*", new() { Timeout = LongestWait });
        await Assertions.Expect(open.Page.Locator("#what-if-answer")).ToContainTextAsync("Chance of running short:");
    }

    [Fact]
    public async Task Light_TurnedRedInPlace_IsRedAtOnceAndTheFormsWorkInPlaceToo()
    {
        OpenBrowser.SkipWhereMissing();
        await using OpenBrowser open = await OpenBrowser.StartAsync(390, 844);
        await ReadyAsync(open.Page, demo.Address + "/reports");
        await open.Page.EvaluateAsync("document.stays = 'the same document'");

        await open.Page.Locator("footer a[href^='/light']").ClickAsync();
        await Assertions.Expect(open.Page.Locator("html")).ToHaveAttributeAsync("data-light", "red");
        await open.Page.Locator("#kind").SelectOptionAsync("Note");
        await open.Page.Locator("form button").ClickAsync();
        await open.Page.WaitForURLAsync("**/reports?kind=Note*", new() { Timeout = LongestWait });
        await Assertions.Expect(open.Page.Locator("#kind")).ToHaveValueAsync("Note");

        Assert.Equal("the same document", await open.Page.EvaluateAsync<string>("document.stays"));
    }

    [Fact]
    public async Task Link_WhileTheHubIsGone_LeavesThePageReadableAndSaysSo()
    {
        OpenBrowser.SkipWhereMissing();
        await using OpenBrowser open = await OpenBrowser.StartAsync(390, 844);
        await ReadyAsync(open.Page, demo.Address + "/kit");
        await open.Context.SetOfflineAsync(true);

        await open.Page.Locator("nav a[href='/morning']").ClickAsync();

        await Assertions.Expect(open.Page.Locator("#freshness")).ToContainTextAsync("The hub did not answer for \"/morning\"");
        await Assertions.Expect(open.Page.Locator("h1")).ToHaveTextAsync("Kit");
        Assert.Equal(demo.Address + "/kit", open.Page.Url);
        await open.Context.SetOfflineAsync(false);
        await open.Page.Locator("nav a[href='/morning']").ClickAsync();
        await Assertions.Expect(open.Page.Locator("h1")).ToHaveTextAsync("Morning");
        await Assertions.Expect(open.Page.Locator("#freshness")).ToContainTextAsync("Live.");
    }

    [Fact]
    public async Task Skip_ByKeyboard_MovesTheFocusIntoTheContent()
    {
        OpenBrowser.SkipWhereMissing();
        await using OpenBrowser open = await OpenBrowser.StartAsync(768, 1024);
        await ReadyAsync(open.Page, demo.Address + "/energy");

        await open.Page.Keyboard.PressAsync("Tab");
        await open.Page.Keyboard.PressAsync("Enter");
        await open.Page.Keyboard.PressAsync("Tab");

        Assert.True(await open.Page.EvaluateAsync<bool>("document.getElementById('content').contains(document.activeElement)"));
        Assert.Equal(demo.Address + "/energy#content", open.Page.Url);
    }

    private static async Task ReadyAsync(IPage page, string link)
    {
        await page.GotoAsync(link, Patient);
        await page.WaitForFunctionAsync("() => window.kitmeshNavigates === true");
        await Assertions.Expect(page.Locator("#freshness")).ToContainTextAsync("Live.", new() { Timeout = LongestWait });
    }
}
