using System.Diagnostics;
using System.Globalization;
using System.Text.Json;
using Google.Protobuf;
using Grpc.Net.Client;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Time;
using KitMesh.Protocol.Exchange;
using KitMesh.Protocol.Reports;
using Microsoft.Playwright;
using NodaTime;
using V1 = KitMesh.Protocol.V1;

namespace KitMesh.EndToEnd.Tests;

/// <summary>How quick and how heavy the pages are. Bytes are held by a test; times are measured by hand, since they depend on the machine.</summary>
/// <remarks>
/// A browser with its processor slowed to a quarter stands for a small board (Chrome DevTools Protocol,
/// Emulation.setCPUThrottlingRate). First paint is "first-contentful-paint" of W3C Paint Timing; usable is the end of the load event,
/// when the scripts of the page have run. Each figure is the median of five loads with an empty cache.
/// </remarks>
[Collection(DemoTripTests.Name)]
public sealed class PageSpeedTests(DemoTrip demo)
{
    private const int MostBytes = 150 * 1024;
    private const int Loads = 5;
    private const int Sensors = 20;
    private const int HistoryDays = 26;
    private static readonly string[] Paths = ["/", "/morning", "/trip", "/energy", "/what-if", "/charts?what=temperature&days=26", "/footage", "/kit", "/reports", "/phone"];

    [Fact]
    public async Task Page_WithAnEmptyCache_WeighsLessThan150KiB()
    {
        OpenBrowser.SkipWhereMissing();
        foreach (string path in Paths)
        {
            (_, _, long bytes) = await LoadAsync(demo.Address + path);
            Assert.True(bytes is > 1_000 and < MostBytes, $"{path} took {bytes} bytes.");
        }
    }

    [Fact(Explicit = true)]
    public async Task Measure_PagesOnASlowProcessor()
    {
        foreach (string path in Paths)
        {
            List<(double Paint, double Usable, long Bytes)> loads = [];
            for (int i = 0; i < Loads; i++)
            {
                loads.Add(await LoadAsync(demo.Address + path));
            }

            Say($"| `{path}` | {Median(loads.Select(load => load.Paint)):0} ms ({loads.Min(load => load.Paint):0} to {loads.Max(load => load.Paint):0}) | {Median(loads.Select(load => load.Usable)):0} ms | {loads[0].Bytes / 1024.0:0.0} KiB |");
        }
    }

    [Fact(Explicit = true)]
    public async Task Measure_ChartOf26DaysAnd20Sensors()
    {
        using var folder = new TempFolder();
        await using RunningNode hub = await RunningNode.HubAsync(folder.At("hub"));
        int reports = await FillAsync(hub.Address);
        await using OpenBrowser open = await OpenBrowser.StartAsync(1440, 900);
        string link = $"{hub.Address}/charts?what=temperature&days={HistoryDays}";
        foreach (int slower in new[] { 1, 4 })
        {
            List<double> answers = [];
            List<double> drawn = [];
            for (int i = 0; i < Loads; i++)
            {
                IPage page = await open.Context.NewPageAsync();
                ICDPSession session = await open.Context.NewCDPSessionAsync(page);
                await session.SendAsync("Emulation.setCPUThrottlingRate", new() { ["rate"] = slower });
                await page.GotoAsync(link, new() { Timeout = OpenBrowser.LongestWait });
                await page.WaitForFunctionAsync("() => performance.getEntriesByName('kitmesh-history').length > 0");
                Assert.Equal(Sensors, await page.Locator("#history-lines tbody tr").CountAsync());
                answers.Add(await page.EvaluateAsync<double>("performance.getEntriesByType('resource').find((one) => one.name.includes('data.json')).duration"));
                drawn.Add(await page.EvaluateAsync<double>("performance.getEntriesByName('kitmesh-history')[0].duration"));
                await page.CloseAsync();
            }

            Say($"{reports} readings; browser slowed {slower} times: asked to drawn {Median(drawn):0} ms ({drawn.Min():0} to {drawn.Max():0}), of which the hub's answer {Median(answers):0} ms");
        }
    }

    [Fact(Explicit = true)]
    public async Task Measure_AnIdleOpenPage()
    {
        using var folder = new TempFolder();
        await using RunningNode hub = await RunningNode.HubAsync(folder.At("hub"), "--trip", Checkout.PathTo("deploy", "demo", "trip.yaml"));
        double alone = await ShareAsync(hub.Id);
        await using OpenBrowser open = await OpenBrowser.StartAsync(768, 1024);
        await open.Page.GotoAsync(hub.Address + "/", new() { WaitUntil = WaitUntilState.Load, Timeout = OpenBrowser.LongestWait });
        double watched = await ShareAsync(hub.Id);
        Say($"hub alone {alone * 100:0.00} % of a core, with one idle page {watched * 100:0.00} %");
    }

    /// <summary>One load in a fresh browser: first paint and end of load in ms on a processor slowed four times, bytes over the wire.</summary>
    private static async Task<(double Paint, double Usable, long Bytes)> LoadAsync(string link)
    {
        await using OpenBrowser open = await OpenBrowser.StartAsync(390, 844);
        ICDPSession session = await open.Context.NewCDPSessionAsync(open.Page);
        await session.SendAsync("Network.enable");
        await session.SendAsync("Emulation.setCPUThrottlingRate", new() { ["rate"] = 4 });
        double bytes = 0;
        session.Event("Network.loadingFinished").OnEvent += (_, told) => bytes += told!.Value.GetProperty("encodedDataLength").GetDouble();
        await open.Page.GotoAsync(link, new() { WaitUntil = WaitUntilState.Load, Timeout = OpenBrowser.LongestWait });
        await open.Page.WaitForFunctionAsync("() => performance.getEntriesByName('first-contentful-paint').length > 0");
        if (!link.EndsWith("/phone", StringComparison.Ordinal))
        {
            await open.Page.WaitForFunctionAsync("() => window.kitmeshNavigates === true"); // What comes after the first paint weighs too.
        }

        double paint = await open.Page.EvaluateAsync<double>("performance.getEntriesByName('first-contentful-paint')[0].startTime");
        double usable = await open.Page.EvaluateAsync<double>("performance.getEntriesByType('navigation')[0].loadEventEnd");
        return (paint, usable, (long)bytes);
    }

    /// <summary>Pushes a reading of each sensor every five minutes over the days until now.</summary>
    private static async Task<int> FillAsync(string address)
    {
        using GrpcChannel channel = GrpcChannel.ForAddress(address);
        var mesh = new V1.MeshService.MeshServiceClient(channel);
        var origin = new OriginId(NodeId.Parse("ridge-power"), 1);
        Instant start = SystemClock.Instance.GetCurrentInstant() - Duration.FromDays(HistoryDays);
        int reports = HistoryDays * 24 * 12 * Sensors;
        const int Batch = 2_000;
        for (int from = 0; from < reports; from += Batch)
        {
            var push = new V1.PushRequest { Origin = OriginCodec.Write(origin), FirstSequence = (ulong)from + 1 };
            for (int i = from; i < Math.Min(from + Batch, reports); i++)
            {
                int sensor = i % Sensors;
                Instant at = start + Duration.FromMinutes(i / Sensors * 5);
                double celsius = (10 * Math.Sin((i / (double)Sensors / 288 * 2 * Math.PI) + sensor)) - sensor;
                var written = new DeviceTime(at, new BootId(7), (at - start).ToInt64Nanoseconds());
                var body = new TemperatureReading(KitId.Parse($"box {sensor + 1}"), "probe", new Celsius(celsius));
                push.Encoded.Add(ByteString.CopyFrom(ReportCodec.Encode(new Report(new ReportKey(origin, (ulong)i + 1), HybridTime.From(at.ToUnixTimeMilliseconds(), 0), written, body))));
            }

            await mesh.PushAsync(push, cancellationToken: TestContext.Current.CancellationToken);
        }

        using var http = new HttpClient();
        using var timer = new PeriodicTimer(TimeSpan.FromMilliseconds(500));
        while (await timer.WaitForNextTickAsync(TestContext.Current.CancellationToken))
        {
            using JsonDocument answer = JsonDocument.Parse(await http.GetStringAsync(new Uri($"{address}/charts/data.json?what=temperature&days=1"), TestContext.Current.CancellationToken));
            if (answer.RootElement.GetProperty("lines").EnumerateArray().Count(line => line.GetProperty("means").EnumerateArray().ElementAt(22).ValueKind == JsonValueKind.Number) == Sensors)
            {
                break;
            }
        }

        return reports;
    }

    /// <summary>The share of one core that a process takes over 20 seconds.</summary>
    private static async Task<double> ShareAsync(int process)
    {
        using Process watched = Process.GetProcessById(process);
        using var timer = new PeriodicTimer(TimeSpan.FromSeconds(20));
        await timer.WaitForNextTickAsync(TestContext.Current.CancellationToken); // What the start still costs is over then.
        watched.Refresh();
        TimeSpan before = watched.TotalProcessorTime;
        long began = Stopwatch.GetTimestamp();
        await timer.WaitForNextTickAsync(TestContext.Current.CancellationToken);
        watched.Refresh();
        return (watched.TotalProcessorTime - before) / Stopwatch.GetElapsedTime(began);
    }

    private static double Median(IEnumerable<double> values) => values.Order().ElementAt(Loads / 2);

    private static void Say(FormattableString words) => TestContext.Current.TestOutputHelper!.WriteLine(words.ToString(CultureInfo.InvariantCulture));
}
