using Deque.AxeCore.Commons;
using Deque.AxeCore.Playwright;
using Microsoft.Playwright;

namespace KitMesh.EndToEnd.Tests;

/// <summary>The hub's pages on the demo's data in a real browser, from a small phone to a wide screen.</summary>
/// <remarks>
/// Accessibility is judged by axe-core, a general reference library, against WCAG 2.2 A and AA: nothing at all may be found. What
/// a program cannot judge (whether the words are good) it does not.
/// </remarks>
[Collection(DemoTripTests.Name)]
public sealed class PageTests(DemoTrip demo)
{
    private const float LongestWait = OpenBrowser.LongestWait;
    private static readonly string[] Paths = ["/", "/morning", "/trip", "/energy", "/what-if", "/charts?what=temperature&days=7", "/footage", "/kit", "/reports", "/phone"];
    private static readonly PageGotoOptions Patient = new() { WaitUntil = WaitUntilState.Load, Timeout = LongestWait };

    [Theory]
    [InlineData(320, 640)]
    [InlineData(768, 1024)]
    [InlineData(1440, 900)]
    public async Task Pages_AtAWidth_FitAndLoadNothingFromElsewhere(int width, int height)
    {
        OpenBrowser.SkipWhereMissing();
        await using OpenBrowser open = await OpenBrowser.StartAsync(width, height);
        List<string> elsewhere = [];
        List<string> broken = [];
        open.Page.Request += (_, request) => elsewhere.AddRange(request.Url.StartsWith(demo.Address, StringComparison.Ordinal) || request.Url.StartsWith("data:", StringComparison.Ordinal) ? [] : [request.Url]);
        open.Page.Response += (_, response) => broken.AddRange(response.Status >= 400 ? [$"{response.Status} {response.Url}"] : []);
        open.Page.Console += (_, message) => broken.AddRange(message.Type == "error" ? [message.Text] : []);
        open.Page.PageError += (_, error) => broken.Add(error);

        foreach (string path in Paths)
        {
            await open.Page.GotoAsync(demo.Address + path, Patient);
            await DrawnAsync(open.Page, path);
            int contentWidth = await open.Page.EvaluateAsync<int>("document.documentElement.scrollWidth");
            await open.KeepPictureAsync($"page{path.Split('?')[0].Replace('/', '-').TrimEnd('-')}-{width}.png");

            Assert.True(contentWidth <= width, $"{path} is {contentWidth} px wide on a screen of {width} px.");
        }

        Assert.Empty(elsewhere);
        Assert.Empty(broken);
    }

    [Theory]
    [InlineData("sun", 320, 640)]
    [InlineData("sun", 768, 1024)]
    [InlineData("sun", 1440, 900)]
    [InlineData("night", 320, 640)]
    [InlineData("night", 768, 1024)]
    [InlineData("night", 1440, 900)]
    [InlineData("red", 320, 640)]
    [InlineData("red", 768, 1024)]
    [InlineData("red", 1440, 900)]
    public async Task Pages_ByAxe_HaveNoViolation(string light, int width, int height)
    {
        OpenBrowser.SkipWhereMissing();
        await using OpenBrowser open = await OpenBrowser.StartAsync(width, height, bypassPolicy: true);
        await open.Page.EmulateMediaAsync(new() { ColorScheme = light == "sun" ? ColorScheme.Light : ColorScheme.Dark });
        if (light == "red")
        {
            await open.Page.GotoAsync(demo.Address + "/light?to=red&back=%2Fkit", Patient);
            Assert.Equal(demo.Address + "/kit", open.Page.Url);
        }

        List<string> found = [];
        foreach (string path in Paths)
        {
            await open.Page.GotoAsync(demo.Address + path, Patient);
            await DrawnAsync(open.Page, path);
            await open.Page.EvaluateAsync("[...document.querySelectorAll('details')].slice(0, 12).forEach((part) => { part.open = true; })");
            AxeResult result = await open.Page.RunAxe(new AxeRunOptions { RunOnly = RunOnlyOptions.Tags("wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa") });
            Assert.NotEmpty(result.Passes);
            found.AddRange(result.Violations
                .Select(violation => $"{path}: {violation.Id} ({violation.Impact}), {violation.Help} ({string.Join("; ", violation.Nodes.Select(node => node.Html).Take(3))})"));
            await open.KeepPictureAsync($"{light}{path.Split('?')[0].Replace('/', '-').TrimEnd('-')}-{width}.png");
        }

        Assert.Empty(found);
    }

    [Fact]
    public async Task Pages_ByKeyboardAlone_ShowWhereTheFocusIsAndTrapNobody()
    {
        OpenBrowser.SkipWhereMissing();
        await using OpenBrowser open = await OpenBrowser.StartAsync(768, 1024);
        foreach (string path in Paths)
        {
            await open.Page.GotoAsync(demo.Address + path, Patient);
            await DrawnAsync(open.Page, path);
            int stops = await open.Page.EvaluateAsync<int>(FocusableCount);
            HashSet<string> seen = [];
            for (int i = 0; i < Math.Min(stops, 60); i++)
            {
                await open.Page.Keyboard.PressAsync("Tab");
                string[] focus = await open.Page.EvaluateAsync<string[]>(FocusNow);
                Assert.True(focus[1] == "shown", $"{path}: the focus on {focus[0]} cannot be seen.");
                seen.Add(focus[0]);
            }

            Assert.True(seen.Count >= Math.Min(stops, 60) - 1, $"{path}: {seen.Count} of {stops} places reached by Tab.");
        }
    }

    [Theory]
    [InlineData(320, 640)]
    [InlineData(1440, 900)]
    public async Task Tonight_WhatMustNotBeMissed_IsTheLargestAndComesFirst(int width, int height)
    {
        OpenBrowser.SkipWhereMissing();
        await using OpenBrowser open = await OpenBrowser.StartAsync(width, height);
        await open.Page.GotoAsync(demo.Address + "/", Patient);

        string[] largest = await open.Page.EvaluateAsync<string[]>("""
            () => {
              const texts = [...document.querySelectorAll("body *")].filter((one) => one.checkVisibility() && [...one.childNodes].some((node) => node.nodeType === 3 && node.textContent.trim()));
              const sizes = texts.map((one) => [parseFloat(getComputedStyle(one).fontSize), one.closest("section")?.id ?? ""]);
              const most = Math.max(...sizes.map(([size]) => size));
              return [...new Set(sizes.filter(([size]) => size >= most).map(([, id]) => id))];
            }
            """);

        Assert.Contains(Assert.Single(largest), (string[])["danger", "do-next"]);
        Assert.Contains(await open.Page.Locator("main section").First.GetAttributeAsync("id"), (string[])["danger", "do-next"]);
    }

    [Fact]
    public async Task Charts_ByArrowKeys_TellTheFiguresInWords()
    {
        OpenBrowser.SkipWhereMissing();
        await using OpenBrowser open = await OpenBrowser.StartAsync(768, 1024);
        await open.Page.GotoAsync(demo.Address + "/energy", Patient);
        await DrawnAsync(open.Page, "/energy");
        ILocator fan = open.Page.Locator("figure[data-fan]").First;
        await fan.Locator(".drawing").FocusAsync();
        await open.Page.Keyboard.PressAsync("Home");
        string first = await fan.Locator("output").InnerTextAsync();
        await open.Page.Keyboard.PressAsync("ArrowRight");
        string second = await fan.Locator("output").InnerTextAsync();

        Assert.Matches(@"^\d+ \w+: middle path [\d.]+ %, half of all paths from [\d.]+ to [\d.]+ %, nine in ten from [\d.]+ to [\d.]+ %\.$", first);
        Assert.NotEqual(first, second);

        await open.Page.GotoAsync(demo.Address + "/charts?what=temperature&days=7", Patient);
        await DrawnAsync(open.Page, "/charts");
        await open.Page.Locator("#history-lines input").First.UncheckAsync();
        await open.Page.Locator(".drawing").FocusAsync();
        await open.Page.Keyboard.PressAsync("End");
        await open.Page.Keyboard.PressAsync("+");
        string told = await open.Page.Locator("#history output").InnerTextAsync();
        string away = (await open.Page.Locator("#history-lines th[scope=row]").First.InnerTextAsync()).Trim();
        Assert.Contains("°C", told, StringComparison.Ordinal);
        Assert.DoesNotContain(away + " ", told, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Charts_WithoutScripts_AreTheHubsDrawingWithItsTable()
    {
        OpenBrowser.SkipWhereMissing();
        await using OpenBrowser open = await OpenBrowser.StartAsync(768, 1024);
        await open.Page.RouteAsync("**/*.js", route => route.AbortAsync());
        await open.Page.GotoAsync(demo.Address + "/energy", Patient);

        await Assertions.Expect(open.Page.Locator("svg.fan").First).ToBeVisibleAsync();
        await open.Page.GotoAsync(demo.Address + "/charts?what=temperature&days=7", Patient);
        await Assertions.Expect(open.Page.Locator("svg.history polyline").First).ToBeVisibleAsync();
        Assert.True(await open.Page.Locator("#history-lines tbody tr").CountAsync() > 3);
        await open.KeepPictureAsync("charts-without-scripts-768.png");
    }

    [Fact]
    public async Task Pages_ForReadersWhoWantNoMotion_MoveNothing()
    {
        OpenBrowser.SkipWhereMissing();
        await using OpenBrowser open = await OpenBrowser.StartAsync(390, 844);
        await open.Page.EmulateMediaAsync(new() { ReducedMotion = ReducedMotion.Reduce });
        foreach (string path in Paths)
        {
            await open.Page.GotoAsync(demo.Address + path, Patient);
            await DrawnAsync(open.Page, path);
            int moving = await open.Page.EvaluateAsync<int>("""
                () => document.getAnimations().length + [...document.querySelectorAll("*")].filter((one) => {
                  const style = getComputedStyle(one);
                  return style.animationName !== "none" || style.transitionDuration.split(", ").some((time) => parseFloat(time) > 0) || style.scrollBehavior === "smooth";
                }).length
                """);
            Assert.True(moving == 0, $"{path}: {moving} things move.");
        }
    }

    [Fact]
    public async Task Trip_OfThreeTeams_StandsSideBySideEachWithTheAgeOfItsNews()
    {
        OpenBrowser.SkipWhereMissing();
        await using OpenBrowser open = await OpenBrowser.StartAsync(1440, 900);
        await open.Page.GotoAsync(demo.Address + "/trip", Patient);
        ILocator teams = open.Page.Locator("table.teams");

        Assert.Equal(["Team", "base team", "hide team", "ridge team"], await teams.Locator("thead th").AllInnerTextsAsync());
        IReadOnlyList<string> news = await teams.Locator("tbody tr").First.Locator("td").AllInnerTextsAsync();
        Assert.Equal(3, news.Count);
        Assert.Contains(news, age => age.Contains("ago", StringComparison.Ordinal) || age.Contains("just now", StringComparison.Ordinal));
        Assert.Contains("no agent travels with it", news);
        IReadOnlyList<string> energy = await teams.Locator("tbody tr", new() { HasText = "Energy" }).Locator("td").AllInnerTextsAsync();
        Assert.All(energy, words => Assert.Contains("% full", words, StringComparison.Ordinal));
    }

    [Theory]
    [InlineData("en-US", true, true)]
    [InlineData("en-AU", true, false)]
    [InlineData("de-DE", false, false)]
    [InlineData("fr-CA", false, false)]
    [InlineData("hi-IN", true, false)]
    public async Task Clock_ByLocale_HasTheHoursThatTheBrowsersOwnTablesSay(string locale, bool twelve, bool fahrenheit)
    {
        // The browser's tables are CLDR's, through ICU: what it would write itself is the check of what the hub writes.
        OpenBrowser.SkipWhereMissing();
        await using OpenBrowser open = await OpenBrowser.StartAsync(768, 1024, locale: locale);
        await open.Page.GotoAsync(demo.Address + "/kit", Patient);
        string page = await open.Page.Locator("main").InnerTextAsync();
        string own = await open.Page.EvaluateAsync<string>("new Intl.DateTimeFormat(undefined, { hour: 'numeric' }).resolvedOptions().hourCycle");

        Assert.Equal(twelve, own is "h12" or "h11");
        Assert.Equal(twelve, System.Text.RegularExpressions.Regex.IsMatch(page, @"\d:\d\d [AP]M"));
        Assert.Equal(fahrenheit, page.Contains("°F (", StringComparison.Ordinal));
    }

    [Fact]
    public async Task Page_WhenTheHubGoesAndComesBack_SaysSoAndStaysReadable()
    {
        OpenBrowser.SkipWhereMissing();
        using var folder = new TempFolder();
        RunningNode hub = await RunningNode.HubAsync(folder.At("hub"), "--trip", Checkout.PathTo("deploy", "demo", "trip.yaml"));
        await using OpenBrowser open = await OpenBrowser.StartAsync(768, 1024);
        string address = hub.Address;
        await open.Page.Clock.InstallAsync();
        await open.Page.GotoAsync(address + "/kit", Patient);
        ILocator freshness = open.Page.Locator("#freshness");
        await Assertions.Expect(freshness).ToContainTextAsync("Live.", new() { Timeout = LongestWait });

        await hub.KillAsync();
        await hub.DisposeAsync();
        await open.Page.Clock.RunForAsync("00:01:30");
        await Assertions.Expect(freshness).ToContainTextAsync("The hub has been silent since", new() { Timeout = LongestWait });
        await Assertions.Expect(open.Page.Locator("h1")).ToHaveTextAsync("Kit");

        await using RunningNode back = await RunningNode.StartAsync("hub", "--json", "--data", folder.At("hub"), "--listen", address);
        await Assertions.Expect(freshness).ToContainTextAsync("Live.", new() { Timeout = LongestWait });
    }

    private const string FocusableCount = """
        () => [...document.querySelectorAll("a[href], button, input:not([type=hidden]), select, textarea, summary, [tabindex='0']")].filter((one) => one.checkVisibility()).length
        """;

    private const string FocusNow = """
        () => {
          const one = document.activeElement;
          if (!one || one === document.body) { return ["the page itself", "shown"]; }
          window.stops = window.stops ?? new Map();
          if (!window.stops.has(one)) { window.stops.set(one, window.stops.size); }
          const style = getComputedStyle(one);
          const box = one.getBoundingClientRect();
          const shown = style.outlineStyle !== "none" && parseFloat(style.outlineWidth) >= 2 && box.width > 0 && box.right > 0;
          return [`${window.stops.get(one)} ${one.tagName} ${one.id}`, shown ? "shown" : "hidden"];
        }
        """;

    /// <summary>Waits until the scripts have drawn what is to be drawn.</summary>
    private static async Task DrawnAsync(IPage page, string path)
    {
        if (path is "/" or "/energy" || path.StartsWith("/charts", StringComparison.Ordinal))
        {
            await page.WaitForFunctionAsync("() => { const figures = [...document.querySelectorAll('figure.chart')]; return figures.length > 0 && figures.every((figure) => figure.dataset.drawn === 'yes'); }");
        }
        else if (path == "/phone")
        {
            await page.WaitForFunctionAsync("() => document.getElementById('delivery').textContent.startsWith('The hub is there')");
        }
    }
}
