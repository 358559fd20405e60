using System.Net;
using System.Text.RegularExpressions;
using Grpc.Net.Client;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Protocol.Exchange;
using KitMesh.Protocol.Kit;
using KitMesh.Protocol.Reports;
using KitMesh.Storage;
using KitMesh.TestKit.Hub;
using KitMesh.TestKit.Storage;
using NodaTime;
using V1 = KitMesh.Protocol.V1;

namespace KitMesh.Tests.Hub;

/// <summary>The first page, as a browser gets it.</summary>
public sealed partial class TonightPageTests
{
    private const string Hostile = "<img src=x onerror=alert(1)>\"'&";
    private static readonly Instant Now = Instant.FromUtc(2027, 2, 14, 18, 0);

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

        foreach (HttpResponseMessage answer in new[] { page, styles })
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

    [Fact]
    public async Task Get_HostileNames_StayText()
    {
        await using TestHub hub = await TestHub.StartAsync();
        await DeclareHostileTripAsync(hub);

        string page = await PageAsync(hub);

        Assert.Contains("&lt;img", page, StringComparison.Ordinal);
        Assert.DoesNotContain("<img", page, StringComparison.OrdinalIgnoreCase);
        Assert.DoesNotContain("<script", page, StringComparison.OrdinalIgnoreCase);
        Assert.DoesNotMatch(InlineStyleOrHandler(), page);
    }

    [Fact]
    public async Task Get_Page_AsksNothingOfOtherPlaces()
    {
        await using TestHub hub = await TestHub.StartAsync();

        string page = await PageAsync(hub);

        Assert.All(Reference().Matches(page), match => Assert.True(match.Groups["to"].Value is ['/' or '#', ..] or "data:,", match.Value));
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

    private static async Task<string> PageAsync(TestHub hub)
    {
        await hub.Application.Core.View.WhenCaughtUpAsync(Cancel);
        using var http = new HttpClient { BaseAddress = hub.Address };
        return await http.GetStringAsync(new Uri("/", UriKind.Relative), Cancel);
    }

    private static async Task DeclareHostileTripAsync(TestHub hub)
    {
        using GrpcChannel channel = GrpcChannel.ForAddress(hub.Address);
        var mesh = new V1.MeshService.MeshServiceClient(channel);
        KitId name = KitId.Parse(Hostile);
        var request = new V1.DeclareKitRequest();
        request.Items.Add(KitItemCodec.Write(new Trip(name, new LocalDate(2027, 2, 8), new LocalDate(2027, 3, 5), Offset.FromHours(5))));
        request.Items.Add(KitItemCodec.Write(new Card(name, null, new ByteCount(64_000_000_000))));
        await mesh.DeclareKitAsync(request, cancellationToken: Cancel);
        var writer = new ReportMaker("ridge-agent");
        var push = new V1.PushRequest { Origin = OriginCodec.Write(writer.Origin), FirstSequence = 1 };
        foreach (IncomingReport report in new[]
        {
            writer.Make(1, Now, new ReaderFault(Hostile, name, Hostile, [], false)),
            writer.Make(2, Now, new AlertChanged(Hostile, name, true, Hostile)),
            writer.Make(3, Now, new CardSeen(name, name, name, new ByteCount(1), new ByteCount(1), 1)),
            writer.Make(4, Now, new ClipFound(new ClipHash(7), name, name, Hostile, new ByteCount(9), name, Now, null, Hostile)),
        })
        {
            push.Encoded.Add(Google.Protobuf.ByteString.CopyFrom(ReportCodec.Encode(report.Timed.Report)));
        }

        await mesh.PushAsync(push, cancellationToken: Cancel);
    }

    [GeneratedRegex("""<[^>]*\s(style|on\w+)\s*=\s*["'][^>]*>""", RegexOptions.IgnoreCase)]
    private static partial Regex InlineStyleOrHandler();

    [GeneratedRegex("""\b(?:href|src|action)="(?<to>[^"]*)""", RegexOptions.IgnoreCase)]
    private static partial Regex Reference();
}
