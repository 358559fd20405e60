using Deque.AxeCore.Commons;
using Deque.AxeCore.Playwright;
using Microsoft.Playwright;

namespace KitMesh.EndToEnd.Tests;

/// <summary>The hub's pages in a real browser, from a small phone to a wide screen.</summary>
/// <remarks>
/// Accessibility is judged by axe-core, a general reference library, against WCAG 2.2 A and AA: nothing serious or critical
/// may be found. What a program cannot judge (whether the words are good) it does not.
/// </remarks>
public sealed class PageTests
{
    private const float LongestWait = OpenBrowser.LongestWait;
    private static readonly string[] Paths = ["/", "/morning", "/trip", "/energy/what-if", "/energy", "/footage", "/kit", "/reports", "/phone"];

    [Theory]
    [InlineData(320, 640)]
    [InlineData(768, 1024)]
    [InlineData(1440, 900)]
    public async Task Pages_AtAWidth_FitAndLoadNothingFromElsewhere(int width, int height)
    {
        using var folder = new TempFolder();
        await using RunningNode hub = await TripHubAsync(folder);
        await using OpenBrowser open = await OpenBrowser.StartAsync(width, height);
        List<string> elsewhere = [];
        List<string> broken = [];
        open.Page.Request += (_, request) => elsewhere.AddRange(request.Url.StartsWith(hub.Address, StringComparison.Ordinal) || request.Url.StartsWith("data:", StringComparison.Ordinal) ? [] : [request.Url]);
        open.Page.Response += (_, response) => broken.AddRange(response.Status >= 400 ? [$"{response.Status} {response.Url}"] : []);
        open.Page.Console += (_, message) => broken.AddRange(message.Type == "error" ? [message.Text] : []);

        foreach (string path in Paths)
        {
            await open.Page.GotoAsync(hub.Address + path, new() { WaitUntil = WaitUntilState.Load, Timeout = LongestWait });
            int contentWidth = await open.Page.EvaluateAsync<int>("document.documentElement.scrollWidth");
            await open.KeepPictureAsync($"page{path.Replace('/', '-').TrimEnd('-')}-{width}.png");

            Assert.True(contentWidth <= width, $"{path} is {contentWidth} px wide on a screen of {width} px.");
        }

        Assert.Empty(elsewhere);
        Assert.Empty(broken);
    }

    [Theory]
    [InlineData("light")]
    [InlineData("dark")]
    public async Task Pages_ByAxe_HaveNothingSerious(string scheme)
    {
        using var folder = new TempFolder();
        await using RunningNode hub = await TripHubAsync(folder);
        await using OpenBrowser open = await OpenBrowser.StartAsync(320, 640, bypassPolicy: true);
        await open.Page.EmulateMediaAsync(new() { ColorScheme = scheme == "dark" ? ColorScheme.Dark : ColorScheme.Light });
        List<string> found = [];
        foreach (string path in Paths)
        {
            await open.Page.GotoAsync(hub.Address + path, new() { WaitUntil = WaitUntilState.Load, Timeout = LongestWait });
            AxeResult result = await open.Page.RunAxe(new AxeRunOptions { RunOnly = RunOnlyOptions.Tags("wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa") });
            Assert.NotEmpty(result.Passes);
            found.AddRange(result.Violations
                .Where(violation => violation.Impact is "serious" or "critical")
                .Select(violation => $"{path}: {violation.Id}, {violation.Help} ({string.Join("; ", violation.Nodes.Select(node => node.Html))})"));
        }

        Assert.Empty(found);
    }

    [Fact]
    public async Task Page_WhenTheHubGoesAndComesBack_SaysSoAndStaysReadable()
    {
        using var folder = new TempFolder();
        RunningNode hub = await TripHubAsync(folder);
        await using OpenBrowser open = await OpenBrowser.StartAsync(768, 1024);
        string address = hub.Address;
        await open.Page.Clock.InstallAsync();
        await open.Page.GotoAsync(address + "/kit", new() { WaitUntil = WaitUntilState.Load, Timeout = LongestWait });
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

    private static Task<RunningNode> TripHubAsync(TempFolder folder)
    {
        OpenBrowser.SkipWhereMissing();
        return RunningNode.HubAsync(folder.At("hub"), "--trip", Checkout.PathTo("deploy", "demo", "trip.yaml"));
    }
}
