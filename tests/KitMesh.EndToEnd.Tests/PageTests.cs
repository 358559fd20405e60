using Microsoft.Playwright;

namespace KitMesh.EndToEnd.Tests;

/// <summary>The hub's first page in a real browser, from a small phone to a wide screen.</summary>
public sealed class PageTests
{
    private const string Browser = "/usr/bin/chromium";

    [Theory]
    [InlineData(320, 640)]
    [InlineData(768, 1024)]
    [InlineData(1440, 900)]
    public async Task FirstPage_AtAWidth_FitsAndLoadsNothingFromElsewhere(int width, int height)
    {
        Assert.SkipUnless(File.Exists(Browser), $"There is no {Browser}: install Debian's package chromium to see the pages tested.");
        using var folder = new TempFolder();
        await using RunningNode hub = await RunningNode.HubAsync(folder.At("hub"), "--trip", Checkout.PathTo("deploy", "demo", "trip.yaml"));
        using IPlaywright playwright = await Playwright.CreateAsync();
        await using IBrowser browser = await playwright.Chromium.LaunchAsync(new() { ExecutablePath = Browser, Args = ["--no-sandbox", "--disable-gpu"] });
        IPage page = await browser.NewPageAsync(new() { ViewportSize = new() { Width = width, Height = height } });
        List<string> elsewhere = [];
        List<string> broken = [];
        page.Request += (_, request) => elsewhere.AddRange(request.Url.StartsWith(hub.Address, StringComparison.Ordinal) || request.Url.StartsWith("data:", StringComparison.Ordinal) ? [] : [request.Url]);
        page.Response += (_, response) => broken.AddRange(response.Status >= 400 && !response.Url.EndsWith("/favicon.ico", StringComparison.Ordinal) ? [$"{response.Status} {response.Url}"] : []);

        await page.GotoAsync(hub.Address, new() { WaitUntil = WaitUntilState.Load, Timeout = 120_000 });
        int contentWidth = await page.EvaluateAsync<int>("document.documentElement.scrollWidth");
        string words = await page.InnerTextAsync("body");
        byte[] picture = await page.ScreenshotAsync(new() { FullPage = true });
        if (Environment.GetEnvironmentVariable("KITMESH_PICTURES") is { Length: > 0 } pictures)
        {
            Directory.CreateDirectory(pictures);
            await File.WriteAllBytesAsync(Path.Combine(pictures, $"page-{width}.png"), picture, TestContext.Current.CancellationToken);
        }

        Assert.True(contentWidth <= width, $"The page is {contentWidth} px wide on a screen of {width} px.");
        Assert.Contains("base bank", words, StringComparison.OrdinalIgnoreCase);
        Assert.Empty(elsewhere);
        Assert.Empty(broken);
        Assert.True(picture.Length > 5_000, $"The picture has {picture.Length} bytes.");
    }
}
