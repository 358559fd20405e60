using System.Net.Http.Json;
using System.Text.Json;
using Grpc.Net.Client;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Protocol.Exchange;
using KitMesh.Protocol.Reports;
using KitMesh.Storage;
using KitMesh.TestKit.Hub;
using KitMesh.TestKit.Storage;
using NodaTime;
using V1 = KitMesh.Protocol.V1;

namespace KitMesh.Tests.Hub.Pages;

/// <summary>Readings over time: means by the hour as they were read, with holes where nothing was.</summary>
public sealed class HistoryTests
{
    private static readonly Instant Now = Instant.FromUtc(2027, 2, 14, 18, 0);

    private static CancellationToken Cancel => TestContext.Current.CancellationToken;

    [Fact]
    public async Task Data_OfTwoHours_IsTheirMeansAndNullBetween()
    {
        await using TestHub hub = await FilledAsync();
        using var http = new HttpClient { BaseAddress = hub.Address };

        JsonElement chart = await http.GetFromJsonAsync<JsonElement>(new Uri("/charts/data.json?what=temperature&days=1", UriKind.Relative), Cancel);

        JsonElement line = Assert.Single(chart.GetProperty("lines").EnumerateArray());
        Assert.Equal("ridge box, probe", line.GetProperty("name").GetString());
        double?[] means = [.. line.GetProperty("means").EnumerateArray().Select(mean => mean.ValueKind == JsonValueKind.Null ? (double?)null : mean.GetDouble())];
        Assert.Equal(24, means.Length);
        long first = chart.GetProperty("firstHour").GetInt64();
        Assert.Equal(-8, means[(int)(((Now - Duration.FromHours(5)).ToUnixTimeSeconds() - first) / 3600)]);
        Assert.Null(means[0]);
    }

    [Fact]
    public async Task Page_WithReadings_DrawsThemAndTellsThemInATable()
    {
        await using TestHub hub = await FilledAsync();
        using var http = new HttpClient { BaseAddress = hub.Address };

        string page = System.Net.WebUtility.HtmlDecode(await http.GetStringAsync(new Uri("/charts?what=temperature&days=1", UriKind.Relative), Cancel));

        Assert.Contains("<polyline class=\"line c0 d0\"", page, StringComparison.Ordinal);
        Assert.Contains("ridge box, probe</th>", page, StringComparison.Ordinal);
        Assert.Contains("<td>-8.0</td>", page, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("?what=nonsense&days=-3")]
    [InlineData("?what=&days=9999999999999")]
    [InlineData("?what=<script>&days=x")]
    public async Task Page_AskedAnything_AnswersInRange(string query)
    {
        await using TestHub hub = await TestHub.StartAsync();
        using var http = new HttpClient { BaseAddress = hub.Address };

        string page = await http.GetStringAsync(new Uri("/charts" + query, UriKind.Relative), Cancel);

        Assert.Contains("Nothing was read of this in that time.", page, StringComparison.Ordinal);
    }

    private static async Task<TestHub> FilledAsync()
    {
        TestHub hub = await TestHub.StartAsync();
        using GrpcChannel channel = GrpcChannel.ForAddress(hub.Address);
        var writer = new ReportMaker("ridge-power");
        IncomingReport[] reports = [.. Enumerable.Range(0, 6).Select(i => writer.Make((ulong)i + 1, Now - Duration.FromHours(5) + Duration.FromMinutes(i * 10), new TemperatureReading(KitId.Parse("ridge box"), "probe", new Celsius(-8))))];
        var push = new V1.PushRequest { Origin = OriginCodec.Write(writer.Origin), FirstSequence = 1 };
        push.Encoded.AddRange(reports.Select(report => Google.Protobuf.ByteString.CopyFrom(ReportCodec.Encode(report.Timed.Report))));
        await new V1.MeshService.MeshServiceClient(channel).PushAsync(push, cancellationToken: Cancel);
        await hub.Application.WhenCaughtUpAsync(Cancel);
        return hub;
    }
}
