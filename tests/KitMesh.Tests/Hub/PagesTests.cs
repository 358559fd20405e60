using System.Net;
using System.Text.RegularExpressions;
using KitMesh.TestKit.Hub;

namespace KitMesh.Tests.Hub;

/// <summary>The pages, as a browser gets them.</summary>
public sealed partial class PagesTests
{
    private static readonly string[] Scripts = ["<script src=\"/live.js\" defer>", "<script src=\"/uplot.js\" defer>", "<script src=\"/charts.js\" defer>"];

    /// <summary>Every page.</summary>
    public static TheoryData<string> Pages => ["/", "/morning", "/trip", "/what-if", "/energy", "/footage", "/kit", "/reports", "/charts?what=temperature"];

    [Fact]
    public async Task Get_EmptyHub_SaysWhatIsMissingInWords()
    {
        await using TestHub hub = await TestHub.StartAsync();

        string page = await PageAsync(hub);

        Assert.Contains("No trip is declared", page, StringComparison.Ordinal);
        Assert.Contains("Nothing needs doing now.", page, StringComparison.Ordinal);
        Assert.Contains("Lithium packs can burn.", page, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Get_AnyPage_CarriesTheSecurityHeaders()
    {
        await using TestHub hub = await TestHub.StartAsync();
        using var http = new HttpClient { BaseAddress = hub.Address };

        HttpResponseMessage page = await http.GetAsync(new Uri("/", UriKind.Relative), Cancel);
        HttpResponseMessage styles = await http.GetAsync(new Uri("/kitmesh.css", UriKind.Relative), Cancel);
        HttpResponseMessage script = await http.GetAsync(new Uri("/live.js", UriKind.Relative), Cancel);

        foreach (HttpResponseMessage answer in new[] { page, styles, script })
        {
            Assert.Equal(HttpStatusCode.OK, answer.StatusCode);
            string policy = answer.Headers.GetValues("Content-Security-Policy").Single();
            Assert.Contains("default-src 'none'", policy, StringComparison.Ordinal);
            Assert.Contains("frame-ancestors 'none'", policy, StringComparison.Ordinal);
            Assert.DoesNotContain("unsafe-inline", policy, StringComparison.Ordinal);
            Assert.Equal("nosniff", answer.Headers.GetValues("X-Content-Type-Options").Single());
            Assert.Equal("DENY", answer.Headers.GetValues("X-Frame-Options").Single());
            Assert.False(answer.Headers.Contains("Server"));
        }
    }

    [Theory]
    [MemberData(nameof(Pages))]
    public async Task Get_HostileNames_StayText(string path)
    {
        await using TestHub hub = await TestHub.StartAsync();
        await HostileTrip.DeclareAsync(hub);

        string page = await PageAsync(hub, path);

        Assert.Contains("&lt;img", page, StringComparison.Ordinal);
        Assert.DoesNotContain("<img", page, StringComparison.OrdinalIgnoreCase);
        Assert.DoesNotContain("<svg onload", page, StringComparison.OrdinalIgnoreCase);
        Assert.All(Script().Matches(page).Select(match => match.Value), tag => Assert.Contains(tag, Scripts));
        Assert.Single(Script().Matches(page), match => match.Value == Scripts[0]);
        Assert.DoesNotMatch(InlineStyleOrHandler(), page);
    }

    [Theory]
    [MemberData(nameof(Pages))]
    public async Task Get_Page_AsksNothingOfOtherPlaces(string path)
    {
        await using TestHub hub = await TestHub.StartAsync();
        await HostileTrip.DeclareAsync(hub);

        string page = await PageAsync(hub, path);

        Assert.All(Reference().Matches(page), match => Assert.True(match.Groups["to"].Value is ['/' or '#', ..] or "data:,", match.Value));
    }

    [Theory]
    [InlineData("en-US,en;q=0.9", true, true)]
    [InlineData("en-GB", false, false)]
    [InlineData("de-DE,en-US;q=0.5", false, false)]
    [InlineData("zh-Hant-TW", true, false)]
    [InlineData("en", false, false)]
    [InlineData("", false, false)]
    [InlineData("<script>,,;;q=x,xx-1!", false, false)]
    public async Task Get_WithLanguages_WritesClockAndDegreesOfTheReadersRegion(string languages, bool twelve, bool fahrenheit)
    {
        await using TestHub hub = await TestHub.StartAsync();
        await HostileTrip.DeclareAsync(hub);
        await hub.Application.WhenCaughtUpAsync(Cancel);
        using var http = new HttpClient { BaseAddress = hub.Address };
        http.DefaultRequestHeaders.TryAddWithoutValidation("Accept-Language", languages);

        string page = WebUtility.HtmlDecode(await http.GetStringAsync(new Uri("/kit", UriKind.Relative), Cancel));

        Assert.Contains(twelve ? "14 Feb 11:00 PM" : "14 Feb 23:00", page, StringComparison.Ordinal);
        Assert.Contains(fahrenheit ? "25 °F (-4 °C)" : ": -4 °C", page, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("heat from -12.5 to 4 °C until 06:30 (+06:00)", "heat from 10 to 39 °F (-12.5 to 4 °C) until 6:30 AM (+06:00)")]
    [InlineData("at 00:05, 90 °C, timecode 10:15:00", "at 12:05 AM, 194 °F (90 °C), timecode 10:15:00")]
    [InlineData("12:00 and 23:59", "12:00 PM and 11:59 PM")]
    [InlineData("now to 21:08: warm the batteries", "now to 9:08 PM: warm the batteries")]
    [InlineData("out on 2027-02-18, short by 2027-03-05: 6 in 10", "out on 18 Feb, short by 5 Mar: 6 in 10")]
    [InlineData("2027-02-16/card s2/C1.WAV and /drives/2027-02-16: not day 2027-99-99", "2027-02-16/card s2/C1.WAV and /drives/2027-02-16: not day 2027-99-99")]
    public void Say_WordsOfAModel_AreWrittenForTheReader(string words, string said) =>
        Assert.Equal(said, new KitMesh.Hub.Pages.PageLocale(true, true).Say(words));

    [Theory]
    [InlineData("/energy", "/energy")]
    [InlineData("/what-if?flights=2&cloudy=1", "/what-if?flights=2&cloudy=1")]
    [InlineData("//elsewhere.example", "/")]
    [InlineData("/\\elsewhere.example", "/")]
    [InlineData("https://elsewhere.example", "/")]
    [InlineData("", "/")]
    public async Task Light_Asked_ReturnsToThePageItWasAskedOnAndNowhereElse(string back, string expected)
    {
        await using TestHub hub = await TestHub.StartAsync();
        using var handler = new HttpClientHandler { AllowAutoRedirect = false };
        using var http = new HttpClient(handler) { BaseAddress = hub.Address };

        HttpResponseMessage answer = await http.GetAsync(new Uri("/light?to=red&back=" + Uri.EscapeDataString(back), UriKind.Relative), Cancel);

        Assert.Equal(HttpStatusCode.Redirect, answer.StatusCode);
        Assert.Equal(expected, answer.Headers.Location!.OriginalString);
        string page = await http.GetStringAsync(new Uri("/kit", UriKind.Relative), Cancel);
        Assert.Contains("/light?to=system&amp;back=%2Fkit", page, StringComparison.Ordinal);
    }

    [Fact]
    public async Task File_AskedAgainWithItsMark_IsNotSentAgain()
    {
        await using TestHub hub = await TestHub.StartAsync();
        using var http = new HttpClient { BaseAddress = hub.Address };
        using HttpResponseMessage first = await http.GetAsync(new Uri("/uplot.js", UriKind.Relative), Cancel);
        using var again = new HttpRequestMessage(HttpMethod.Get, new Uri("/uplot.js", UriKind.Relative));
        again.Headers.IfNoneMatch.Add(first.Headers.ETag!);
        using var packed = new HttpRequestMessage(HttpMethod.Get, new Uri("/uplot.js", UriKind.Relative));
        packed.Headers.AcceptEncoding.ParseAdd("gzip");

        using HttpResponseMessage second = await http.SendAsync(again, Cancel);
        using HttpResponseMessage small = await http.SendAsync(packed, Cancel);

        Assert.Equal(HttpStatusCode.NotModified, second.StatusCode);
        Assert.Empty(await second.Content.ReadAsByteArrayAsync(Cancel));
        await using Stream unpacked = new System.IO.Compression.GZipStream(await small.Content.ReadAsStreamAsync(Cancel), System.IO.Compression.CompressionMode.Decompress);
        using var whole = new MemoryStream();
        await unpacked.CopyToAsync(whole, Cancel);
        Assert.Equal(await first.Content.ReadAsByteArrayAsync(Cancel), whole.ToArray());
        string licence = await http.GetStringAsync(new Uri("/uplot.licence.txt", UriKind.Relative), Cancel);
        Assert.Contains("MIT", licence, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Page_AskedForInPlace_AllowsItAndTheFrameworksScriptComesFromTheHub()
    {
        await using TestHub hub = await TestHub.StartAsync();
        using var http = new HttpClient { BaseAddress = hub.Address };
        using var asked = new HttpRequestMessage(HttpMethod.Get, new Uri("/kit", UriKind.Relative));
        asked.Headers.TryAddWithoutValidation("Accept", "text/html; blazor-enhanced-nav=on");

        using HttpResponseMessage page = await http.SendAsync(asked, Cancel);
        string script = await http.GetStringAsync(new Uri("/_framework/blazor.web.js", UriKind.Relative), Cancel);
        string notices = await http.GetStringAsync(new Uri("/_framework/notices.txt", UriKind.Relative), Cancel);

        Assert.Equal("allow", page.Headers.GetValues("blazor-enhanced-nav").Single());
        Assert.Contains("enhancednavigationstart", script, StringComparison.Ordinal);
        Assert.Contains("MIT", notices, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Reports_AskedForAKind_ShowsThoseAndKeepsTheChoice()
    {
        await using TestHub hub = await TestHub.StartAsync();
        await HostileTrip.DeclareAsync(hub);

        string page = await PageAsync(hub, "/reports?kind=CardSeen");

        Assert.Contains("<strong>CardSeen</strong>", page, StringComparison.Ordinal);
        Assert.DoesNotContain("<strong>ClipFound</strong>", page, StringComparison.Ordinal);
        Assert.Contains("<option value=\"CardSeen\" selected>", page, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("/reports?kind=Nonsense", "There is no kind")]
    [InlineData("/reports?node=NOT+A+NODE", "is no node")]
    [InlineData("/reports?from=%FF%00x", "This is no token of this hub")]
    public async Task Reports_AskedWrongly_SaysWhatIsWrong(string path, string words)
    {
        await using TestHub hub = await TestHub.StartAsync();

        string page = await PageAsync(hub, path);

        Assert.Contains(words, page, StringComparison.Ordinal);
        Assert.DoesNotContain("   at KitMesh", page, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Reports_MoreThanAPage_LinksToTheOlderOnes()
    {
        await using TestHub hub = await TestHub.StartAsync();
        await HostileTrip.PushNotesAsync(hub, 60);

        string newest = await PageAsync(hub, "/reports?kind=Note");
        string link = WebUtility.HtmlDecode(OlderLink().Match(newest).Groups["to"].Value);
        string older = await PageAsync(hub, link);

        Assert.Contains("note 60", newest, StringComparison.Ordinal);
        Assert.DoesNotContain("note 10\"", WebUtility.HtmlDecode(newest), StringComparison.Ordinal);
        Assert.Contains("note 10\"", WebUtility.HtmlDecode(older), StringComparison.Ordinal);
        Assert.DoesNotContain("Older ones", older, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Live_WhenAReportArrives_SignalsAndEndsWithTheHub()
    {
        await using TestHub hub = await TestHub.StartAsync();
        using var http = new HttpClient { BaseAddress = hub.Address };
        await using Stream stream = await http.GetStreamAsync(new Uri("/live", UriKind.Relative), Cancel);
        using var lines = new StreamReader(stream);
        Assert.Equal("event: changed", await lines.ReadLineAsync(Cancel));

        await HostileTrip.PushNotesAsync(hub, 1);
        List<string> heard = [];
        while (heard.Count(line => line == "event: changed") < 1)
        {
            heard.Add(await lines.ReadLineAsync(Cancel) ?? throw new InvalidOperationException("The stream ended early."));
        }

        await hub.Application.DisposeAsync();
        await lines.ReadToEndAsync(Cancel);
    }

    [Theory]
    [InlineData("stranger.example", "GET", null)]
    [InlineData("127.0.0.1", "POST", "cross-site")]
    public async Task Request_FromElsewhere_OnlyTold_JoinFirst(string host, string method, string? site)
    {
        await using TestHub hub = await TestHub.StartAsync();
        using var http = new HttpClient { BaseAddress = hub.Address };
        using var request = new HttpRequestMessage(new HttpMethod(method), new Uri(method == "GET" ? "/" : "/v1/push", UriKind.Relative));
        request.Headers.Host = host;
        if (site is not null)
        {
            request.Headers.Add("Sec-Fetch-Site", site);
        }

        HttpResponseMessage answer = await http.SendAsync(request, Cancel);

        Assert.Equal(HttpStatusCode.Forbidden, answer.StatusCode);
        Assert.Equal("Join first.", await answer.Content.ReadAsStringAsync(Cancel));
    }

    private static CancellationToken Cancel => TestContext.Current.CancellationToken;

    private static async Task<string> PageAsync(TestHub hub, string path = "/")
    {
        await hub.Application.Core.View.WhenCaughtUpAsync(Cancel);
        using var http = new HttpClient { BaseAddress = hub.Address };
        return await http.GetStringAsync(new Uri(path, UriKind.Relative), Cancel);
    }

    [GeneratedRegex("""<[^>]*\s(style|on\w+)\s*=\s*["'][^>]*>""", RegexOptions.IgnoreCase)]
    private static partial Regex InlineStyleOrHandler();

    [GeneratedRegex("""<a class="step" href="(?<to>/reports[^"]*from=[^"]*)">Older""")]
    private static partial Regex OlderLink();

    [GeneratedRegex("<script[^>]*>", RegexOptions.IgnoreCase)]
    private static partial Regex Script();

    [GeneratedRegex("""\b(?:href|src|action)="(?<to>[^"]*)""", RegexOptions.IgnoreCase)]
    private static partial Regex Reference();
}
