using System.Net;
using System.Text.RegularExpressions;
using KitMesh.TestKit.Hub;

namespace KitMesh.Tests.Hub;

/// <summary>The pages, as a browser gets them.</summary>
public sealed partial class PagesTests
{
    /// <summary>Every page.</summary>
    public static TheoryData<string> Pages => ["/", "/morning", "/trip", "/energy/what-if", "/energy", "/footage", "/kit", "/reports"];

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
        Assert.Equal(["<script src=\"/live.js\" defer>"], Script().Matches(page).Select(match => match.Value));
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
