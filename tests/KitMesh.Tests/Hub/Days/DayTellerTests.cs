using System.Net;
using System.Net.Http.Json;
using System.Text.Json;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Hub.Links;
using KitMesh.Sync.Journal;
using KitMesh.TestKit.Hub;
using KitMesh.TestKit.Storage;
using KitMesh.Tests.TripFile;
using NodaTime;

namespace KitMesh.Tests.Hub.Days;

/// <summary>A team's day at base camp: first as its hub's word over a thin link, then as its readings, never as both.</summary>
public sealed class DayTellerTests : IDisposable
{
    private const int Readings = 6_000;
    private static readonly Instant Now = Instant.FromUtc(2027, 2, 9, 12, 0);

    /// <summary>Yesterday for a crew six hours ahead began at 18:00 of 7 February.</summary>
    private static readonly Instant Yesterday = Instant.FromUtc(2027, 2, 7, 18, 0);

    private readonly string _folder = Directory.CreateTempSubdirectory("kitmesh-days-").FullName;

    private static CancellationToken Cancel => TestContext.Current.CancellationToken;

    [Fact]
    public async Task Day_OverALinkWithASmallBudget_IsThereFirstAtSecondHand_AndGivesWayToItsReadings()
    {
        await using TestHub camp = await StartAsync("base-camp", null);
        await using TestHub ridge = await StartAsync("ridge-hub", Trip(camp.Address));
        OriginId origin = await FillAsync(ridge);
        LinkMeter meter = ridge.Application.Links.MeterOf(NodeId.Parse("base-camp"))!;
        await ridge.Application.WhenCaughtUpAsync(Cancel);

        // Yesterday, and the day before that its crew's clock gives nothing for: one thing, one day, one report.
        Assert.Equal(1, await ridge.Application.Days.TellAsync(Cancel));
        Assert.Equal(0, await ridge.Application.Days.TellAsync(Cancel));

        await TestHub.UntilAsync(() => !meter.HasRoomForReadings && camp.Application.Core.View.Now.State.ToldDays.Count == 1);
        Assert.InRange(camp.Held(origin), 0UL, Readings - 1UL);
        JsonElement first = await ChartAsync(camp);
        JsonElement told = Assert.Single(first.GetProperty("told").EnumerateArray());
        Assert.Equal(("2027-02-08", Readings, "ridge-hub"), (told.GetProperty("day").GetString(), told.GetProperty("samples").GetInt32(), told.GetProperty("by").GetString()));
        using (var http = new HttpClient { BaseAddress = camp.Address })
        {
            string page = WebUtility.HtmlDecode(await http.GetStringAsync(new Uri("/charts?what=temperature&days=26", UriKind.Relative), Cancel));
            Assert.Contains("Second-hand: another hub told these days", page, StringComparison.Ordinal);
            Assert.Contains($"<td>{Readings}</td>", page, StringComparison.Ordinal);
            Assert.Contains("<td>ridge-hub, just now</td>", page, StringComparison.Ordinal);
        }

        // The line's figures are the day's as the ridge's own readings give them: nothing that came so far is counted beside it.
        JsonElement home = await ChartAsync(ridge);
        Assert.Empty(home.GetProperty("told").EnumerateArray());
        AssertSameFigures(home, first);

        for (int days = 0; camp.Held(origin) < Readings && days < 40; days++)
        {
            ridge.World.AdvanceHours(24);
            camp.World.AdvanceHours(24);
            await TestHub.UntilAsync(() => !meter.HasRoomForReadings || camp.Held(origin) == Readings);
        }

        await camp.Application.WhenCaughtUpAsync(Cancel);
        JsonElement last = await ChartAsync(camp);
        Assert.Empty(last.GetProperty("told").EnumerateArray());
        AssertSameFigures(await ChartAsync(ridge), last);
        Assert.Equal(0, await camp.Application.Days.TellAsync(Cancel));
    }

    public void Dispose() => Directory.Delete(_folder, recursive: true);

    private static void AssertSameFigures(JsonElement one, JsonElement other)
    {
        JsonElement a = Assert.Single(one.GetProperty("lines").EnumerateArray());
        JsonElement b = Assert.Single(other.GetProperty("lines").EnumerateArray());
        Assert.Equal(a.GetProperty("name").GetString(), b.GetProperty("name").GetString());
        foreach (string figure in new[] { "least", "most", "last" })
        {
            Assert.Equal(a.GetProperty(figure).GetDouble(), b.GetProperty(figure).GetDouble(), 1e-5);
        }
    }

    private static async Task<JsonElement> ChartAsync(TestHub hub)
    {
        using var http = new HttpClient { BaseAddress = hub.Address };
        return await http.GetFromJsonAsync<JsonElement>(new Uri("/charts/data.json?what=temperature&days=26", UriKind.Relative), Cancel);
    }

    private static Task<TestHub> StartAsync(string node, string? trip) =>
        TestHub.StartAsync(null, options => options with { Node = NodeId.Parse(node), TripFile = trip }, Now);

    private string Trip(Uri camp)
    {
        string file = Path.Combine(_folder, "trip.yaml");
        File.WriteAllText(file, $"{TripText.Least.TrimEnd()}\nlinks:\n  - from: ridge-hub\n    to: base-camp\n    address: {camp.GetLeftPart(UriPartial.Authority)}\n    quality: thin\n    budget: 0.1 MB/d\n");
        return file;
    }

    private static async Task<OriginId> FillAsync(TestHub hub)
    {
        var maker = new ReportMaker("ridge-agent", 9);
        var random = new Random(1);
        foreach (RawReport[] part in Enumerable.Range(1, Readings)
            .Select(i => maker.Make((ulong)i, Yesterday + Duration.FromSeconds(i * 14), new TemperatureReading(KitId.Parse("ridge box"), "probe", new Celsius(Math.Round(random.NextDouble() * -30, 2)))).Raw)
            .Chunk(1_000))
        {
            Assert.IsType<AppendResult.Durable>(await hub.Application.Core.Intake.AppendAsync(part, Cancel));
        }

        return maker.Origin;
    }
}
