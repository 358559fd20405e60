using System.Globalization;
using System.Net;
using System.Text;
using Google.Protobuf;
using Grpc.Net.Client;
using KitMesh.Domain.Reports;
using KitMesh.Hub;
using KitMesh.Protocol.Exchange;
using KitMesh.Protocol.Reports;
using KitMesh.TestKit.Hub;
using KitMesh.TestKit.Storage;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Hosting;
using Microsoft.AspNetCore.Hosting.Server;
using Microsoft.AspNetCore.Hosting.Server.Features;
using Microsoft.AspNetCore.Http;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Logging;
using NodaTime;
using V1 = KitMesh.Protocol.V1;

namespace KitMesh.Tests.Hub.Telemetry;

/// <summary>
/// What a scraper and a collector get. The scraped text is judged by its own small reader of the Prometheus text format,
/// version 0.0.4 (prometheus.io, "Exposition formats"); the collector is one of the test's own that takes OTLP over HTTP.
/// </summary>
public sealed class TelemetryTests
{
    private static readonly Instant Now = Instant.FromUtc(2027, 2, 14, 18, 0);
    private readonly ReportMaker _ridge = new("ridge-agent", 0xFEDC_BA98_7654_3210);

    [Fact]
    public async Task Metrics_AfterAPush_SayWhatWasTakenInAndMerged()
    {
        await using TestHub hub = await TestHub.StartAsync(change: options => options with { Node = NodeId.Parse("scraped-hub") });
        await PushAsync(hub, 1, 2, 3);
        await PushAsync(hub, 1, 2, 3);
        await hub.Application.WhenCaughtUpAsync(TestContext.Current.CancellationToken);

        Dictionary<string, double> lines = await ScrapeAsync(hub);

        Assert.Equal(3, Sum(lines, "kitmesh_reports_received", "outcome=\"new\""));
        Assert.Equal(3, Sum(lines, "kitmesh_reports_received", "outcome=\"known\""));
        Assert.Equal(2, Sum(lines, "kitmesh_append_duration_seconds_count"));
        Assert.True(Sum(lines, "kitmesh_reports_durable") >= 3);
        Assert.Equal(Sum(lines, "kitmesh_reports_durable"), Sum(lines, "kitmesh_reports_merged"));
        Assert.Equal(1, Sum(lines, "kitmesh_store_open"));
        Assert.True(Sum(lines, "kitmesh_disk_free_bytes") > 0);
        Assert.Equal(2, Sum(lines, "kitmesh_call_duration_seconds_count", "method=\"/kitmesh.v1.MeshService/Push\""));
        Assert.True(Sum(lines, "dotnet_gc_collections") >= 0);
    }

    [Fact]
    public async Task Metrics_ManyOriginsAndOddPaths_NoLineMore()
    {
        await using TestHub hub = await TestHub.StartAsync(change: options => options with { Node = NodeId.Parse("bounded-hub") });
        await PushAsync(hub, 1);
        using var web = new HttpClient { BaseAddress = hub.Address };
        await web.GetStringAsync("/metrics", TestContext.Current.CancellationToken);
        string[] before = [.. (await ScrapeAsync(hub)).Keys.Where(key => key.StartsWith("kitmesh", StringComparison.Ordinal)).Order(StringComparer.Ordinal)];

        for (int i = 0; i < 30; i++)
        {
            await PushAsync(hub, new ReportMaker($"stranger-{i}", (ulong)i + 1), 1);
            using HttpResponseMessage lost = await web.GetAsync(new Uri($"/secret-{i}?code=ABC{i}", UriKind.Relative), TestContext.Current.CancellationToken);
        }

        Dictionary<string, double> after = await ScrapeAsync(hub);
        Assert.Equal(before, after.Keys.Where(key => key.StartsWith("kitmesh", StringComparison.Ordinal)).Order(StringComparer.Ordinal));
        Assert.DoesNotContain(after.Keys, key => key.Contains("secret", StringComparison.Ordinal) || key.Contains("stranger", StringComparison.Ordinal));
    }

    [Fact]
    public async Task Otlp_ACollectorIsNamed_GetsFiguresAndTraces()
    {
        var bodies = new Dictionary<string, List<byte>> { ["/v1/metrics"] = [], ["/v1/traces"] = [] };
        await using WebApplication collector = Collector(bodies);
        await collector.StartAsync(TestContext.Current.CancellationToken);
        string address = collector.Services.GetRequiredService<IServer>().Features.Get<IServerAddressesFeature>()!.Addresses.First();

        await using (TestHub hub = await TestHub.StartAsync(change: options => options with { Node = NodeId.Parse("told-hub"), Otlp = new Uri(address) }))
        {
            await PushAsync(hub, 1, 2);
        }

        string traces = Encoding.Latin1.GetString([.. bodies["/v1/traces"]]);
        Assert.Contains("/kitmesh.v1.MeshService/Push", traces, StringComparison.Ordinal);
        Assert.Contains("append", traces, StringComparison.Ordinal);
        Assert.Contains("told-hub", traces, StringComparison.Ordinal);
        Assert.Contains("kitmesh.append.duration", Encoding.Latin1.GetString([.. bodies["/v1/metrics"]]), StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("ftp://127.0.0.1")]
    [InlineData("http://127.0.0.1:4318/v1/traces")]
    public void Otlp_NoAddressOfACollector_RefusedInWords(string address) =>
        Assert.Contains("otlp: ", Assert.Single(HubOptionsCheck.Problems(new HubOptions { DataFolder = "data", Otlp = new Uri(address) })), StringComparison.Ordinal);

    private static WebApplication Collector(Dictionary<string, List<byte>> bodies)
    {
        WebApplicationBuilder builder = WebApplication.CreateSlimBuilder();
        builder.Logging.ClearProviders();
        builder.WebHost.UseUrls("http://127.0.0.1:0");
        WebApplication web = builder.Build();
        web.Run(async context =>
        {
            using var body = new MemoryStream();
            await context.Request.Body.CopyToAsync(body, context.RequestAborted);
            lock (bodies)
            {
                bodies[context.Request.Path].AddRange(body.ToArray());
            }
        });
        return web;
    }

    private static double Sum(Dictionary<string, double> lines, string name, string label = "") => lines
        .Where(line => (line.Key.StartsWith(name + "{", StringComparison.Ordinal) || line.Key.StartsWith(name + "_total{", StringComparison.Ordinal) || line.Key == name) && line.Key.Contains(label, StringComparison.Ordinal))
        .Sum(line => line.Value);

    private static async Task<Dictionary<string, double>> ScrapeAsync(TestHub hub)
    {
        using var web = new HttpClient { BaseAddress = hub.Address };
        string text = await web.GetStringAsync("/metrics", TestContext.Current.CancellationToken);
        var lines = new Dictionary<string, double>();
        foreach (string line in text.Split('\n').Where(line => line.Length > 0 && line[0] != '#'))
        {
            // name{label="value",...} value [timestamp]; a label's value may hold blanks, the rest not.
            int nameEnd = line.LastIndexOf('}') + 1;
            nameEnd = nameEnd > 0 ? nameEnd : line.IndexOf(' ', StringComparison.Ordinal);
            string value = line[nameEnd..].Trim().Split(' ')[0];
            Assert.True(double.TryParse(value.Replace("+Inf", "Infinity", StringComparison.Ordinal), NumberStyles.Float, CultureInfo.InvariantCulture, out double number), line);
            Assert.True(lines.TryAdd(line[..nameEnd], number), $"Twice: {line}");
        }

        return lines;
    }

    private Task PushAsync(TestHub hub, params ulong[] sequences) => PushAsync(hub, _ridge, sequences);

    private static async Task PushAsync(TestHub hub, ReportMaker maker, params ulong[] sequences)
    {
        using GrpcChannel channel = GrpcChannel.ForAddress(hub.Address);
        var request = new V1.PushRequest { Origin = OriginCodec.Write(maker.Origin), FirstSequence = sequences[0] };
        request.Encoded.AddRange(sequences.Select(sequence => ByteString.CopyFrom(ReportCodec.Encode(maker.Note(sequence, Now, "wind from the west").Timed.Report))));
        await new V1.MeshService.MeshServiceClient(channel).PushAsync(request, cancellationToken: TestContext.Current.CancellationToken);
    }
}
