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

    /// <summary>The folder of what is kept to look at: <c>pictures</c> beside the tests, or where the environment says.</summary>
    public static string Pictures { get; } = Directory.CreateDirectory(Environment.GetEnvironmentVariable("KITMESH_PICTURES") is { Length: > 0 } asked ? asked : Path.Combine(AppContext.BaseDirectory, "pictures")).FullName;

    /// <summary>Whether there is one on this machine.</summary>
    public static bool IsThere => File.Exists(Browser);

    /// <summary>Skips the test where there is no browser.</summary>
    public static void SkipWhereMissing() =>
        Assert.SkipUnless(IsThere, $"There is no {Browser}: install Debian's package chromium to see the pages tested.");

    /// <summary>Starts one; <paramref name="bypassPolicy"/> lets a test put a script of its own into the page.</summary>
    public static async Task<OpenBrowser> StartAsync(int width, int height, bool bypassPolicy = false, string locale = "en-GB", ClientCertificate? certificate = null, bool anyCertificate = false)
    {
        IPlaywright playwright = await Playwright.CreateAsync();
        IBrowser browser = await playwright.Chromium.LaunchAsync(new() { ExecutablePath = Browser, Args = ["--no-sandbox", "--disable-gpu"], Timeout = LongestWait });
        IBrowserContext context = await browser.NewContextAsync(new()
        {
            ViewportSize = new() { Width = width, Height = height },
            BypassCSP = bypassPolicy,
            Locale = locale,
            IgnoreHTTPSErrors = anyCertificate || certificate is not null,
            ClientCertificates = certificate is null ? null : [certificate],
        });
        context.SetDefaultTimeout(LongestWait);
        Assertions.SetDefaultExpectTimeout(LongestWait);
        return new OpenBrowser(playwright, browser, context, await context.NewPageAsync());
    }

    /// <summary>Keeps a picture of the whole page.</summary>
    public async Task KeepPictureAsync(string name)
    {
        await page.ScreenshotAsync(new() { FullPage = true, Path = Path.Combine(Pictures, name) });
    }

    /// <inheritdoc/>
    public async ValueTask DisposeAsync()
    {
        await browser.DisposeAsync();
        playwright.Dispose();
    }
}
