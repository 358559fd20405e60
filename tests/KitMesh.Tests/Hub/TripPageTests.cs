using System.Net;
using Grpc.Net.Client;
using KitMesh.Domain;
using KitMesh.Domain.Digest;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Domain.State;
using KitMesh.Protocol.Kit;
using KitMesh.TestKit.Hub;
using NodaTime;
using V1 = KitMesh.Protocol.V1;

namespace KitMesh.Tests.Hub;

/// <summary>The pages "Trip" and "Morning": what is typed becomes a report, and what follows from it is shown.</summary>
public sealed class TripPageTests
{
    private static readonly KitId Ridge = KitId.Parse("ridge team");
    private static readonly KitId Camera = KitId.Parse("ridge camera 1");

    private static CancellationToken Cancel => TestContext.Current.CancellationToken;

    [Fact]
    public async Task Place_Typed_IsAReportAndShownInTheMorning()
    {
        await using TestHub hub = await DeclaredAsync();

        string said = await TellAsync(hub, ("what", "place"), ("item", "ridge camera 1"), ("into", "ridge guide"), ("author", "the lead"));

        Assert.Equal("/trip?said=kept", said);
        TripState state = hub.Application.Core.View.Now.State;
        Assert.Equal(KitId.Parse("ridge guide"), state.HolderOf(Camera));
        string morning = await PageAsync(hub, "/morning");
        Assert.Contains("<dd>ridge guide</dd>", morning, StringComparison.Ordinal);
        Assert.Contains("✓ Kept", await PageAsync(hub, said), StringComparison.Ordinal);
    }

    [Fact]
    public async Task Morning_BatteryTimecodeAndCardUnknown_NothingIsReadyAndEachIsSaid()
    {
        await using TestHub hub = await DeclaredAsync();

        string morning = await PageAsync(hub, "/morning");

        Assert.Contains("<bdi>ridge camera 1</bdi>: not ready", morning, StringComparison.Ordinal);
        Assert.Contains("<dt>Battery</dt><dd>unknown</dd>", morning, StringComparison.Ordinal);
        Assert.Contains("look what is on its card", morning, StringComparison.Ordinal);
        Assert.Contains("set its timecode and say so", morning, StringComparison.Ordinal);
        Assert.Contains("ridge team: batteries of ridge camera 1 against the body", morning, StringComparison.Ordinal);
    }

    [Fact]
    public async Task SwapAndTimecode_Typed_AreShownWithTheirAge()
    {
        await using TestHub hub = await DeclaredAsync();

        Assert.Equal("/trip?said=kept", await TellAsync(hub, ("what", "swap"), ("item", "ridge camera 1"), ("charge", "80"), ("author", "the lead")));
        Assert.Equal("/trip?said=kept", await TellAsync(hub, ("what", "timecode"), ("item", "ridge camera 1"), ("author", "the lead")));

        string morning = await PageAsync(hub, "/morning");
        Assert.Contains("80 %", morning, StringComparison.Ordinal);
        Assert.Contains("<dt>Timecode</dt><dd>set just now</dd>", morning, StringComparison.Ordinal);
        Assert.Contains("the lead on ridge camera 1: battery swapped, 80 %", await PageAsync(hub, "/trip"), StringComparison.Ordinal);
        hub.World.Advance(Duration.FromHours(15));
        Assert.Contains("its charge is old news", await PageAsync(hub, "/morning"), StringComparison.Ordinal);
    }

    [Fact]
    public async Task DigestLine_Typed_StandsBesideItsTeamAsSecondHand()
    {
        await using TestHub hub = await DeclaredAsync();
        var content = new DigestContent(Instant.FromUtc(2027, 2, 14, 12, 0), NameTag.Of(Ridge), [], false, 1, 0, 0, [], null, []);

        string said = await TellAsync(hub, ("what", "line"), ("words", DigestLine.Write(content, DigestSize.Radio51)), ("author", "the lead"));

        Assert.Equal("/trip?said=kept", said);
        string page = await PageAsync(hub, "/trip");
        Assert.Contains("6 hours", page, StringComparison.Ordinal);
        Assert.Contains("never heard", page, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Forecast_Typed_IsTakenInByTheOutlookAndSaysWhoHeardIt()
    {
        await using TestHub hub = await DeclaredAsync();

        string said = await TellAsync(hub, ("what", "forecast"), ("item", "ridge camp"), ("day", "2027-02-16"), ("sky", "0.2"), ("trust", "0.9"), ("unit", "F"), ("night", "-22"), ("noon", ""), ("author", "the lead"));

        Assert.Equal("/trip?said=kept", said);
        WeatherLine line = Assert.Single(hub.Application.Core.View.Now.State.KitOf<WeatherLine>());
        Assert.Equal((new LocalDate(2027, 2, 16), 0.2, 0.9, -30.0, true), (line.Day, line.ClearSkyShare, line.Trust, line.Night!.Value.Value, line.Said));
        Assert.Contains("the lead on ridge camp: forecast for 2027-02-16: dark clouds or snow, night -30 °C", await PageAsync(hub, "/trip"), StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("day", "", "0.2", "0.6", "", "day")]
    [InlineData("ridge camp", "tomorrow", "0.2", "0.6", "", "day")]
    [InlineData("ridge camp", "2027-02-16", "0.3", "0.6", "", "sky")]
    [InlineData("ridge camp", "2027-02-16", "0.2", "5", "", "sky")]
    [InlineData("ridge camp", "2027-02-16", "0.2", "0.6", "-200", "cold")]
    [InlineData("ridge camp", "2027-02-16", "0.2", "0.6", "cold", "cold")]
    public async Task Forecast_TypedWrongly_IsNotKeptAndSaysWhy(string place, string day, string sky, string trust, string night, string answer)
    {
        await using TestHub hub = await DeclaredAsync();

        string said = await TellAsync(hub, ("what", "forecast"), ("item", place), ("day", day), ("sky", sky), ("trust", trust), ("night", night), ("author", "the lead"));

        Assert.Equal("/trip?said=" + answer, said);
        Assert.Empty(hub.Application.Core.View.Now.State.KitOf<WeatherLine>());
    }

    [Theory]
    [InlineData("place", "ridge camera 1", "ridge camera 1", "", "lead", "name")]
    [InlineData("place", "", "x", "", "lead", "name")]
    [InlineData("swap", "ridge camera 1", "", "", "lead", "charge")]
    [InlineData("line", "", "", "no line", "lead", "line")]
    [InlineData("note", "", "", " ", "lead", "words")]
    [InlineData("note", "", "", "words", "", "author")]
    [InlineData("nonsense", "", "", "", "lead", "kind")]
    public async Task Entry_TypedWrongly_IsNotKeptAndSaysWhy(string what, string item, string into, string words, string author, string answer)
    {
        await using TestHub hub = await DeclaredAsync();
        long before = hub.Application.Core.View.Now.State.Counts.Values.Sum();

        string said = await TellAsync(hub, ("what", what), ("item", item), ("into", into), ("words", words), ("author", author));

        Assert.Equal("/trip?said=" + answer, said);
        string page = await PageAsync(hub, said);
        Assert.Contains("▲ Not kept", page, StringComparison.Ordinal);
        Assert.Equal(before, hub.Application.Core.View.Now.State.Counts.Values.Sum());
    }

    [Fact]
    public async Task Entry_FromAnotherSite_IsRefused()
    {
        await using TestHub hub = await DeclaredAsync();
        using var http = new HttpClient { BaseAddress = hub.Address };
        using var request = new HttpRequestMessage(HttpMethod.Post, new Uri("/trip", UriKind.Relative)) { Content = new FormUrlEncodedContent([new("what", "note")]) };
        request.Headers.Add("Sec-Fetch-Site", "cross-site");

        HttpResponseMessage answer = await http.SendAsync(request, Cancel);

        Assert.Equal(HttpStatusCode.Forbidden, answer.StatusCode);
    }

    [Fact]
    public async Task Said_WordsOfAStranger_AreNotShown()
    {
        await using TestHub hub = await TestHub.StartAsync();

        Assert.DoesNotContain("pay here", await PageAsync(hub, "/trip?said=pay+here"), StringComparison.Ordinal);
    }

    private static async Task<TestHub> DeclaredAsync()
    {
        TestHub hub = await TestHub.StartAsync();
        using GrpcChannel channel = GrpcChannel.ForAddress(hub.Address);
        KitId camp = KitId.Parse("ridge camp");
        KitId bank = KitId.Parse("ridge bank");
        KitItem[] items =
        [
            new Trip(KitId.Parse("ibex"), new LocalDate(2027, 2, 8), new LocalDate(2027, 3, 5), Offset.FromHours(5)),
            new Place(camp, new(41.9), new(77.7), new(4350), new Celsius(-31), new Celsius(-9), 0.66, 0.7, []),
            new Team(Ridge, camp),
            new Person(KitId.Parse("ridge guide"), Ridge),
            new WatchedAgent(NodeId.Parse("ridge-phone"), Ridge, Duration.FromHours(48)),
            new Load(Camera, Ridge, bank, LoadClass.Work, 1, new WattHours(70), 0.3, new WattHours(150), new Watts(60), Chemistry.Nmc),
            new FootageSource(Camera, Ridge, Camera, 200, 0.5, null),
            new Card(KitId.Parse("card r1"), Camera, new ByteCount(512_000_000_000)),
        ];
        var request = new V1.DeclareKitRequest();
        request.Items.AddRange(items.Select(KitItemCodec.Write));
        await new V1.MeshService.MeshServiceClient(channel).DeclareKitAsync(request, cancellationToken: Cancel);
        await hub.Application.WhenCaughtUpAsync(Cancel);
        return hub;
    }

    /// <summary>Sends one entry as the page's form does. Returns where the browser is sent.</summary>
    private static async Task<string> TellAsync(TestHub hub, params (string Name, string Value)[] fields)
    {
        using var handler = new HttpClientHandler { AllowAutoRedirect = false };
        using var http = new HttpClient(handler) { BaseAddress = hub.Address };
        using var form = new FormUrlEncodedContent(fields.Select(field => KeyValuePair.Create(field.Name, field.Value)));
        HttpResponseMessage answer = await http.PostAsync(new Uri("/trip", UriKind.Relative), form, Cancel);
        Assert.Equal(HttpStatusCode.SeeOther, answer.StatusCode);
        await hub.Application.WhenCaughtUpAsync(Cancel);
        return answer.Headers.Location!.ToString();
    }

    private static async Task<string> PageAsync(TestHub hub, string path)
    {
        using var http = new HttpClient { BaseAddress = hub.Address };
        return WebUtility.HtmlDecode(await http.GetStringAsync(new Uri(path, UriKind.Relative), Cancel));
    }
}
