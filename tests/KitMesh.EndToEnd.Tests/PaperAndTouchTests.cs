using System.Text;
using System.Text.RegularExpressions;
using Microsoft.Playwright;

namespace KitMesh.EndToEnd.Tests;

/// <summary>The daily sheet on paper, and pages under a gloved thumb.</summary>
[Collection(DemoTripTests.Name)]
public sealed partial class PaperAndTouchTests(DemoTrip demo)
{
    /// <summary>A4 is 210 mm wide; with 12 mm on each side 186 mm are left: 703 CSS pixels of 1/96 inch (CSS Values and Units 3, section 6.2).</summary>
    private const int PaperWidth = 703;

    /// <summary>WCAG 2.2, success criterion 2.5.5 "Target Size (Enhanced)", level AAA: 44 CSS pixels. AA asks for 24 only; gloves do not.</summary>
    private const int LeastTarget = 44;

    private static readonly string[] Paths = ["/", "/morning", "/trip", "/energy", "/what-if", "/charts?what=temperature&days=7", "/footage", "/kit", "/reports"];
    private static readonly PageGotoOptions Patient = new() { WaitUntil = WaitUntilState.Load, Timeout = OpenBrowser.LongestWait };

    [Theory]
    [InlineData("")]
    [InlineData("red")]
    public async Task Pages_OnPaper_FitAndLeaveOutWhatPaperCannotDo(string light)
    {
        OpenBrowser.SkipWhereMissing();
        await using OpenBrowser open = await OpenBrowser.StartAsync(PaperWidth, 1000);
        if (light.Length > 0)
        {
            await open.Page.GotoAsync($"{demo.Address}/light?to={light}&back=%2Fkit", Patient);
        }

        await open.Page.EmulateMediaAsync(new() { Media = Media.Print });
        foreach (string path in Paths)
        {
            await open.Page.GotoAsync(demo.Address + path, Patient);
            await open.KeepPictureAsync($"paper{light}{path.Split('?')[0].Replace('/', '-').TrimEnd('-')}.png");

            string[] seen = await open.Page.EvaluateAsync<string[]>("""
                () => [...document.querySelectorAll("nav, form, button, input, select, textarea, a.step, .skip, #freshness, .drawing, .told, summary")].filter((one) => one.checkVisibility()).map((one) => one.outerHTML.slice(0, 80))
                """);
            Assert.True(seen.Length == 0, $"{path}: {string.Join("; ", seen)}");
            Assert.True(await open.Page.EvaluateAsync<int>("document.documentElement.scrollWidth") <= PaperWidth, $"{path} is wider than the paper.");
            string[] cut = await open.Page.EvaluateAsync<string[]>("() => [...document.querySelectorAll('table, svg, p, li')].filter((one) => one.checkVisibility() && one.getBoundingClientRect().right > innerWidth + 1).map((one) => one.outerHTML.slice(0, 80))");
            Assert.True(cut.Length == 0, $"{path}: cut off: {string.Join("; ", cut)}");
            Assert.Equal("rgb(255, 255, 255)", await open.Page.EvaluateAsync<string>("getComputedStyle(document.body).backgroundColor"));
            Assert.Equal("rgb(0, 0, 0)", await open.Page.EvaluateAsync<string>("getComputedStyle(document.body).color"));
            await Assertions.Expect(open.Page.Locator("#as-of")).ToBeVisibleAsync(); // A sheet without its time is worth nothing.
        }
    }

    [Fact]
    public async Task Tonight_Printed_IsASheetOfFewPagesWithItsTables()
    {
        OpenBrowser.SkipWhereMissing();
        await using OpenBrowser open = await OpenBrowser.StartAsync(1440, 900);
        await open.Page.GotoAsync(demo.Address + "/", Patient);

        byte[] sheet = await open.Page.PdfAsync(new() { Format = "A4", PreferCSSPageSize = true });

        int pages = PdfPage().Count(Encoding.Latin1.GetString(sheet));
        Assert.InRange(pages, 1, 8);
        await File.WriteAllBytesAsync(Path.Combine(OpenBrowser.Pictures, "tonight.pdf"), sheet, TestContext.Current.CancellationToken);
    }

    [Theory]
    [InlineData(320, 640)]
    [InlineData(1440, 900)]
    public async Task Targets_OfEveryPage_AreLargeEnoughForGloves(int width, int height)
    {
        OpenBrowser.SkipWhereMissing();
        await using OpenBrowser open = await OpenBrowser.StartAsync(width, height);
        List<string> small = [];
        foreach (string path in Paths.Append("/phone"))
        {
            await open.Page.GotoAsync(demo.Address + path, Patient);
            if (path.StartsWith("/charts", StringComparison.Ordinal))
            {
                await open.Page.WaitForFunctionAsync("() => document.querySelectorAll('#history-lines input').length > 0");
            }

            // A link inside a sentence may be as high as its line (2.5.5, exception "Inline"); a box counts with the words that belong to it.
            string[] found = await open.Page.EvaluateAsync<string[]>(
                """
                (least) => [...document.querySelectorAll("nav a, a.step, button, select, textarea, summary, input:not([type=hidden])")]
                  .filter((one) => one.checkVisibility())
                  .map((one) => ({ one, box: (one.type === "checkbox" ? one.closest("label") ?? one : one).getBoundingClientRect() }))
                  .filter(({ box }) => box.height < least - 0.5 || box.width < least - 0.5)
                  .map(({ one, box }) => `${Math.round(box.width)} by ${Math.round(box.height)}: ${one.outerHTML.slice(0, 90)}`)
                """,
                LeastTarget);
            small.AddRange(found.Select(one => $"{path} {one}"));
        }

        Assert.Empty(small);
    }

    [GeneratedRegex(@"/Type\s*/Page\b(?!s)")]
    private static partial Regex PdfPage();
}
