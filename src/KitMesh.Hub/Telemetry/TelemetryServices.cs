using KitMesh.Domain.Reports;
using Microsoft.AspNetCore.Builder;
using Microsoft.Extensions.DependencyInjection;
using OpenTelemetry;
using OpenTelemetry.Exporter;
using OpenTelemetry.Metrics;
using OpenTelemetry.Resources;
using OpenTelemetry.Trace;

namespace KitMesh.Hub.Telemetry;

/// <summary>Joins the hub's instruments to OpenTelemetry: a page to be scraped, and a collector where one is named.</summary>
internal static class TelemetryServices
{
    /// <summary>Where a scraper reads. On a hub that asks who calls, it needs the role reader, as every page.</summary>
    public const string ScrapePath = "/metrics";

    /// <summary>Most combinations of labels of one instrument; what is past it is counted in one line.</summary>
    private const int MaxSeries = 200;

    /// <summary>Registers it.</summary>
    public static void Add(IServiceCollection services, HubOptions options, HubClocks clocks)
    {
        NodeId node = options.Node;
        services.AddSingleton(_ => new HubTelemetry(node, clocks.Machine));
        services.AddSingleton<HubGauges>();
        OpenTelemetryBuilder telemetry = services.AddOpenTelemetry()
            .ConfigureResource(resource => resource.Clear().AddService("kitmesh-hub", serviceInstanceId: node.Value, autoGenerateServiceInstanceId: false))
            .WithMetrics(metrics =>
            {
                metrics.AddMeter(HubTelemetry.NameOf(node), "System.Runtime")
                    .AddView(_ => new MetricStreamConfiguration { CardinalityLimit = MaxSeries })
                    .AddPrometheusExporter(prometheus => prometheus.ScrapeEndpointPath = ScrapePath);
                if (options.Otlp is { } collector)
                {
                    metrics.AddOtlpExporter(otlp => Point(otlp, collector, "v1/metrics"));
                }
            });
        if (options.Otlp is { } traces)
        {
            telemetry.WithTracing(tracing => tracing.AddSource(HubTelemetry.NameOf(node)).AddOtlpExporter(otlp => Point(otlp, traces, "v1/traces")));
        }
    }

    /// <summary>Maps the page to be scraped.</summary>
    public static void Map(WebApplication web) => web.MapPrometheusScrapingEndpoint();

    private static void Point(OtlpExporterOptions otlp, Uri collector, string path)
    {
        otlp.Protocol = OtlpExportProtocol.HttpProtobuf;
        otlp.Endpoint = new Uri(collector, path);
    }
}
