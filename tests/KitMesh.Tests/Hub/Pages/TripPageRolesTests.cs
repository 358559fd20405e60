using System.Net;
using KitMesh.Agent.Identity;
using KitMesh.Protocol.Certificates;
using KitMesh.TestKit.Enrolment;

namespace KitMesh.Tests.Hub.Pages;

/// <summary>On a hub that others can reach, keepers enter things and invite phones; others are told that they may not.</summary>
public sealed class TripPageRolesTests
{
    private static CancellationToken Cancel => TestContext.Current.CancellationToken;

    [Theory]
    [InlineData("keeper", HttpStatusCode.SeeOther, "/trip?said=kept")]
    [InlineData("reader", HttpStatusCode.SeeOther, "/trip?said=role")]
    [InlineData("writer", HttpStatusCode.Forbidden, null)]
    public async Task Entry_ByRole_IsKeptOrRefused(string role, HttpStatusCode status, string? location)
    {
        await using JoinableHub hub = await JoinableHub.StartAsync();
        using HttpClient browser = await BrowserAsync(hub, role);
        using var form = new FormUrlEncodedContent([new("what", "note"), new("words", "wind from the north"), new("author", "the lead")]);

        using HttpResponseMessage answer = await browser.PostAsync(new Uri("/trip", UriKind.Relative), form, Cancel);

        Assert.Equal(status, answer.StatusCode);
        Assert.Equal(location, answer.Headers.Location?.OriginalString);
        await hub.Hub.Application.WhenCaughtUpAsync(Cancel);
        Assert.Equal(role == "keeper" ? 1 : 0, hub.Hub.Application.Core.View.Now.State.Notes.Count);
    }

    [Theory]
    [InlineData("keeper", true)]
    [InlineData("reader", false)]
    public async Task TripPage_ByRole_ShowsTheFormsOrThePhonePage(string role, bool forms)
    {
        await using JoinableHub hub = await JoinableHub.StartAsync();
        using HttpClient browser = await BrowserAsync(hub, role);

        string page = await browser.GetStringAsync(new Uri("/trip", UriKind.Relative), Cancel);

        Assert.Equal(forms, page.Contains("<form method=\"post\" action=\"/trip\">", StringComparison.Ordinal));
        Assert.Equal(!forms, page.Contains("You may read here.", StringComparison.Ordinal));
    }

    [Fact]
    public async Task Invitation_ByAKeeper_IsAPictureWhoseLinkLetsOneBrowserIn()
    {
        await using JoinableHub hub = await JoinableHub.StartAsync();
        using HttpClient keeper = await BrowserAsync(hub, "keeper");

        string page = WebUtility.HtmlDecode(await InviteAsync(keeper, "second-camera-phone"));
        string code = page.Split("/join?code=")[1].Split('"')[0];
        using HttpClient phone = Stranger(hub);
        using var form = new FormUrlEncodedContent([new("code", code)]);
        using HttpResponseMessage joined = await phone.PostAsync(new Uri("/join", UriKind.Relative), form, Cancel);

        Assert.Contains("<svg class=\"qr\"", page, StringComparison.Ordinal);
        Assert.Equal(HttpStatusCode.SeeOther, joined.StatusCode);
        Assert.Equal(HttpStatusCode.OK, (await phone.GetAsync(new Uri("/phone", UriKind.Relative), Cancel)).StatusCode);
    }

    [Theory]
    [InlineData("keeper", "Two Words", "Name the phone with small letters")]
    [InlineData("keeper", "base-camp", "own name")]
    [InlineData("reader", "second-camera-phone", "A keeper lets phones join")]
    public async Task Invitation_AskedWrongly_SaysWhyAndMakesNone(string role, string node, string words)
    {
        await using JoinableHub hub = await JoinableHub.StartAsync();
        using HttpClient browser = await BrowserAsync(hub, role);

        string page = WebUtility.HtmlDecode(await InviteAsync(browser, node));

        Assert.Contains(words, page, StringComparison.Ordinal);
        Assert.DoesNotContain("class=\"qr\"", page, StringComparison.Ordinal);
    }

    private static async Task<string> InviteAsync(HttpClient browser, string node)
    {
        using var form = new FormUrlEncodedContent([new("node", node), new("writes", "yes")]);
        using HttpResponseMessage answer = await browser.PostAsync(new Uri("/kit", UriKind.Relative), form, Cancel);
        return await answer.Content.ReadAsStringAsync(Cancel);
    }

    private static async Task<HttpClient> BrowserAsync(JoinableHub hub, string role)
    {
        IdentityFolder folder = await hub.JoinAsync($"the-{role}", role);
        NodeIdentity identity = folder.TryLoad(out NodeIdentity? loaded, out string? why) ? loaded : throw new InvalidOperationException(why);
        SocketsHttpHandler handler = identity.CreateHandler();
        handler.AllowAutoRedirect = false;
        return new HttpClient(handler) { BaseAddress = hub.Address };
    }

    private static HttpClient Stranger(JoinableHub hub)
    {
        SocketsHttpHandler handler = JoinableHub.StrangerHandler();
        handler.AllowAutoRedirect = false;
        return new HttpClient(handler) { BaseAddress = hub.Address };
    }
}
