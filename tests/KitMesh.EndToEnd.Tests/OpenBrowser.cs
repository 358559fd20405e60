using Microsoft.Playwright;

namespace KitMesh.EndToEnd.Tests;

/// <summary>A real browser with one page.</summary>
internal sealed class OpenBrowser(IPlaywright playwright, IBrowser browser, IBrowserContext context, IPage page) : IAsyncDisposable
{
    /// <summary>Milliseconds that anything in it may take on a busy machine.</summary>
    public const float LongestWait = 120_000;

    private const string Browser = "/usr/bin/chromium";

    /// <summary>What its pages share: storage, workers and the network.</summary>
    public IBrowserContext Context => context;

    /// <summary>The page.</summary>
    public IPage Page => page;

    /// <summary>Skips the test where there is no browser.</summary>
    public static void SkipWhereMissing() =>
        Assert.SkipUnless(File.Exists(Browser), $"There is no {Browser}: install Debian's package chromium to see the pages tested.");

    /// <summary>Starts one; <paramref name="bypassPolicy"/> lets a test put a script of its own into the page.</summary>
    public static async Task<OpenBrowser> StartAsync(int width, int height, bool bypassPolicy = false)
    {
        IPlaywright playwright = await Playwright.CreateAsync();
        IBrowser browser = await playwright.Chromium.LaunchAsync(new() { ExecutablePath = Browser, Args = ["--no-sandbox", "--disable-gpu"], Timeout = LongestWait });
        IBrowserContext context = await browser.NewContextAsync(new() { ViewportSize = new() { Width = width, Height = height }, BypassCSP = bypassPolicy });
        context.SetDefaultTimeout(LongestWait);
        return new OpenBrowser(playwright, browser, context, await context.NewPageAsync());
    }

    /// <summary>Keeps a picture of the whole page where the environment asks for pictures.</summary>
    public async Task KeepPictureAsync(string name)
    {
        if (Environment.GetEnvironmentVariable("KITMESH_PICTURES") is { Length: > 0 } pictures)
        {
            Directory.CreateDirectory(pictures);
            await page.ScreenshotAsync(new() { FullPage = true, Path = Path.Combine(pictures, name) });
        }
    }

    /// <inheritdoc/>
    public async ValueTask DisposeAsync()
    {
        await browser.DisposeAsync();
        playwright.Dispose();
    }
}
