using System.Diagnostics;
using System.Diagnostics.Metrics;
using KitMesh.Domain.Reports;
using KitMesh.Sync.Journal;

namespace KitMesh.Hub.Telemetry;

// Problem: whoever looks after several hubs wants to see that one slows down before the crew does. Trap: a label that carries
// what came from outside (a path, a node's name, a clip) grows without end, and may carry a secret. So every label here has a
// closed set of values, or is the name of a team of the trip file, of which HubGauges shows a bounded number; no URL, no
// query and no peer's address is ever recorded, and traces hold only the names of our own calls.

/// <summary>What the hub counts and times while it works. Costs next to nothing where nobody listens.</summary>
internal sealed class HubTelemetry : IDisposable
{
    private const string Base = "KitMesh.Hub";
    private readonly Counter<long> _reports;
    private readonly Counter<long> _refusals;
    private readonly Histogram<double> _appends;
    private readonly Histogram<double> _merges;
    private readonly Histogram<double> _calls;
    private readonly TimeProvider _machine;

    /// <summary>The instruments of one hub. Its name stands in theirs: a process may hold several hubs, as tests do.</summary>
    public HubTelemetry(NodeId node, TimeProvider machine)
    {
        Name = NameOf(node);
        _machine = machine;
        Meter = new Meter(Name);
        Source = new ActivitySource(Name);
        _reports = Meter.CreateCounter<long>("kitmesh.reports.received", "{report}", "Reports that came and are durable here, by outcome: new, known, forked.");
        _refusals = Meter.CreateCounter<long>("kitmesh.appends.failed", "{append}", "Batches that were not made durable, by reason: refused, disk.");
        _appends = Meter.CreateHistogram<double>("kitmesh.append.duration", "s", "From a batch's arrival until it is on the medium: what a sender waits for.");
        _merges = Meter.CreateHistogram<double>("kitmesh.merge.duration", "s", "One round of merging, rolling up and storing.");
        _calls = Meter.CreateHistogram<double>("kitmesh.call.duration", "s", "Calls answered, by method and gRPC status.");
    }

    /// <summary>Name of the meter and of the source of traces.</summary>
    public string Name { get; }

    /// <summary>The meter.</summary>
    public Meter Meter { get; }

    /// <summary>The source of traces.</summary>
    public ActivitySource Source { get; }

    /// <summary>The name that a hub's meter has.</summary>
    public static string NameOf(NodeId node) => $"{Base}.{node}";

    /// <summary>Begins something that takes time.</summary>
    public Span Begin(string name) => new(Source.StartActivity(name), _machine.GetTimestamp());

    /// <summary>A batch was appended, or was not.</summary>
    public void Appended(Span span, int count, AppendResult result)
    {
        span.Activity?.SetTag("kitmesh.reports", count);
        switch (result)
        {
            case AppendResult.Durable durable:
                Count(durable.Written, "new");
                Count(durable.Duplicates, "known");
                Count(durable.Forks.Count, "forked");
                break;
            case AppendResult.Refused:
                _refusals.Add(1, new KeyValuePair<string, object?>("reason", "refused"));
                span.Activity?.SetStatus(ActivityStatusCode.Error);
                break;
            case AppendResult.Failed:
                _refusals.Add(1, new KeyValuePair<string, object?>("reason", "disk"));
                span.Activity?.SetStatus(ActivityStatusCode.Error);
                break;
        }

        _appends.Record(End(span));
    }

    /// <summary>A round of merging is over.</summary>
    public void Merged(Span span, int reports)
    {
        span.Activity?.SetTag("kitmesh.reports", reports);
        _merges.Record(End(span));
    }

    /// <summary>A call was answered.</summary>
    /// <param name="span">What <see cref="Begin"/> gave.</param>
    /// <param name="method">The method: one of our own services', since others are not served.</param>
    /// <param name="status">The gRPC status code.</param>
    public void Answered(Span span, string method, int status)
    {
        span.Activity?.SetTag("rpc.grpc.status_code", status);
        _calls.Record(End(span), new KeyValuePair<string, object?>("method", method), new KeyValuePair<string, object?>("status", status));
    }

    /// <inheritdoc/>
    public void Dispose()
    {
        Meter.Dispose();
        Source.Dispose();
    }

    private void Count(long reports, string outcome)
    {
        if (reports > 0)
        {
            _reports.Add(reports, new KeyValuePair<string, object?>("outcome", outcome));
        }
    }

    private double End(Span span)
    {
        span.Activity?.Dispose();
        return _machine.GetElapsedTime(span.Began).TotalSeconds;
    }

    /// <summary>Something that takes time.</summary>
    /// <param name="Activity">Its trace; null where nobody listens.</param>
    /// <param name="Began">When it began, by machine time.</param>
    internal readonly record struct Span(Activity? Activity, long Began);
}
