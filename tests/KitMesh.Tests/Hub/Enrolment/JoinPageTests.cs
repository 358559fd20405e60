using System.Net;
using KitMesh.Domain.Reports;
using KitMesh.Hub.Enrolment;
using KitMesh.Protocol.Certificates;
using KitMesh.TestKit.Devices;
using KitMesh.TestKit.Enrolment;
using V1 = KitMesh.Protocol.V1;

namespace KitMesh.Tests.Hub.Enrolment;

/// <summary>Browsers join with a link that works once.</summary>
public sealed class JoinPageTests : IDisposable
{
    private readonly TemporaryFolder _folder = new();

    public void Dispose() => _folder.Dispose();

    [Fact]
    public async Task Link_OpenedThenConfirmed_LetsTheBrowserReadOnceOnly()
    {
        await using JoinableHub hub = await JoinableHub.StartAsync();
        string code = await MintAsync(hub, "reader");
        using HttpClient browser = Browser(hub, out CookieContainer cookies);

        string form = await browser.GetStringAsync(new Uri($"/join?code={code}", UriKind.Relative), Cancel);
        await browser.GetStringAsync(new Uri($"/join?code={code}", UriKind.Relative), Cancel);
        using HttpResponseMessage joined = await JoinAsync(browser, code);
        using HttpResponseMessage page = await browser.GetAsync(new Uri("/", UriKind.Relative), Cancel);
        using HttpResponseMessage status = await browser.GetAsync(new Uri("/v1/status", UriKind.Relative), Cancel);
        using HttpResponseMessage push = await browser.PostAsync(new Uri("/v1/push", UriKind.Relative), new StringContent("{}", System.Text.Encoding.UTF8, "application/json"), Cancel);

        Assert.Contains($"value=\"{code}\"", form, StringComparison.Ordinal);
        Assert.Equal(HttpStatusCode.SeeOther, joined.StatusCode);
        Assert.Equal(HttpStatusCode.OK, page.StatusCode);
        Assert.Equal(HttpStatusCode.OK, status.StatusCode);
        Assert.Equal(HttpStatusCode.Forbidden, push.StatusCode);
        string cookie = joined.Headers.GetValues("Set-Cookie").Single();
        Assert.All(["__Host-kitmesh=", "secure", "httponly", "samesite=strict", "path=/"], part => Assert.Contains(part, cookie, StringComparison.OrdinalIgnoreCase));
        Assert.DoesNotContain(cookies.GetAllCookies().Single().Value, File.ReadAllText(Path.Combine(hub.Hub.Folder, "identity", "sessions.json")), StringComparison.Ordinal);
        using HttpClient second = Browser(hub, out _);
        Assert.Equal(HttpStatusCode.Unauthorized, (await JoinAsync(second, code)).StatusCode);
        Assert.Equal(HttpStatusCode.Unauthorized, (await second.GetAsync(new Uri("/", UriKind.Relative), Cancel)).StatusCode);
    }

    [Fact]
    public async Task Session_AfterARestart_HoldsUntilItsNodeIsRevoked()
    {
        string folder = _folder.At("hub");
        string token;
        await using (JoinableHub first = await JoinableHub.StartAsync(folder))
        {
            using HttpClient browser = Browser(first, out CookieContainer cookies);
            await JoinAsync(browser, await MintAsync(first, "reader"));
            token = cookies.GetAllCookies().Single().Value;
        }

        await using JoinableHub again = await JoinableHub.StartAsync(folder);
        using HttpClient same = Browser(again, out CookieContainer kept);
        kept.Add(again.Address, new Cookie(PageSessions.Cookie, token) { Secure = true });

        Assert.Equal(HttpStatusCode.OK, (await same.GetAsync(new Uri("/", UriKind.Relative), Cancel)).StatusCode);
        Assert.True((await again.Owner.ListNodesAsync(new V1.ListNodesRequest(), cancellationToken: Cancel)).Nodes.Single(node => node.Node == "second-camera-phone").Page);
        await again.Owner.RevokeNodeAsync(new V1.RevokeNodeRequest { Node = "second-camera-phone", Reason = "lost" }, cancellationToken: Cancel);
        Assert.Equal(HttpStatusCode.Unauthorized, (await same.GetAsync(new Uri("/", UriKind.Relative), Cancel)).StatusCode);
    }

    [Fact]
    public async Task Session_PastItsTime_MustJoinAgain()
    {
        await using JoinableHub hub = await JoinableHub.StartAsync();
        using HttpClient browser = Browser(hub, out _);
        await JoinAsync(browser, await MintAsync(hub, "reader"));

        hub.Hub.World.AdvanceDays(180 + 31);

        Assert.Equal(HttpStatusCode.Unauthorized, (await browser.GetAsync(new Uri("/", UriKind.Relative), Cancel)).StatusCode);
    }

    [Fact]
    public async Task Codes_ForPagesAndForDevices_AreNotInterchangeable()
    {
        await using JoinableHub hub = await JoinableHub.StartAsync();
        (EnrolCode device, Sha256Hash pin) = await hub.MintAsync("ridge-power");
        string page = await MintAsync(hub, "reader");
        using HttpClient browser = Browser(hub, out _);

        Assert.Equal(HttpStatusCode.Unauthorized, (await JoinAsync(browser, device.Reveal())).StatusCode);
        Assert.True(EnrolCode.TryParse(page, out EnrolCode? code));
        Assert.IsType<KitMesh.Agent.Identity.EnrolOutcome.Refused>(await hub.EnrolAsync(code, pin));
        Assert.IsType<KitMesh.Agent.Identity.EnrolOutcome.Enrolled>(await hub.EnrolAsync(device, pin));
        Assert.Equal(HttpStatusCode.SeeOther, (await JoinAsync(browser, page)).StatusCode);
    }

    [Fact]
    public async Task Join_WrongBodies_AreRefusedInWordsAndSlowedDown()
    {
        await using JoinableHub hub = await JoinableHub.StartAsync();
        using HttpClient browser = Browser(hub, out _);
        var seen = new List<HttpStatusCode>();
        foreach (string body in (string[])["", "code=", "code=<script>", "x=y", "code=" + new string('A', 100_000), "code=%", "code=0", "code=1", "code=2", "code=3", "code=4", "code=5"])
        {
            using var content = new StringContent(body, System.Text.Encoding.UTF8, "application/x-www-form-urlencoded");
            using HttpResponseMessage answer = await browser.PostAsync(new Uri("/join", UriKind.Relative), content, Cancel);
            seen.Add(answer.StatusCode);
            Assert.DoesNotContain("<script", await answer.Content.ReadAsStringAsync(Cancel), StringComparison.Ordinal);
        }

        Assert.All(seen.Take(10), status => Assert.Equal(HttpStatusCode.BadRequest, status));
        Assert.Equal(HttpStatusCode.TooManyRequests, seen[^1]);
    }

    [Theory]
    [InlineData("keeper")]
    [InlineData("hub")]
    public async Task MintCode_ForAPageWithMoreThanReadingAndWriting_IsRefused(string role)
    {
        await using JoinableHub hub = await JoinableHub.StartAsync();

        Grpc.Core.RpcException refused = await Assert.ThrowsAsync<Grpc.Core.RpcException>(() => MintAsync(hub, role));

        Assert.Equal(Grpc.Core.StatusCode.InvalidArgument, refused.StatusCode);
    }

    [Theory]
    [InlineData("not json")]
    [InlineData("{}")]
    [InlineData("[{\"token\":\"00\"}]")]
    [InlineData("[null]")]
    public async Task Start_WithASpoiltSessionFile_LetsNobodyInAndStarts(string text)
    {
        string folder = _folder.At("hub");
        Directory.CreateDirectory(Path.Combine(folder, "identity"));
        File.WriteAllText(Path.Combine(folder, "identity", "sessions.json"), text);

        await using JoinableHub hub = await JoinableHub.StartAsync(folder);

        Assert.DoesNotContain((await hub.Owner.ListNodesAsync(new V1.ListNodesRequest(), cancellationToken: Cancel)).Nodes, node => node.Page);
    }

    private static CancellationToken Cancel => TestContext.Current.CancellationToken;

    private static async Task<string> MintAsync(JoinableHub hub, string role) =>
        (await hub.Owner.MintCodeAsync(new V1.MintCodeRequest { Node = "second-camera-phone", Roles = { role }, Page = true }, cancellationToken: Cancel)).Code;

    private static HttpClient Browser(JoinableHub hub, out CookieContainer cookies)
    {
        SocketsHttpHandler handler = JoinableHub.StrangerHandler();
        handler.AllowAutoRedirect = false;
        cookies = handler.CookieContainer;
        return new HttpClient(handler) { BaseAddress = hub.Address };
    }

    private static async Task<HttpResponseMessage> JoinAsync(HttpClient browser, string code)
    {
        using var form = new FormUrlEncodedContent([new KeyValuePair<string, string>("code", code)]);
        return await browser.PostAsync(new Uri("/join", UriKind.Relative), form, Cancel);
    }
}
