using System.Security.Cryptography.X509Certificates;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Time;
using KitMesh.Storage.Postgres;

namespace KitMesh.Hub;

/// <summary>How a hub runs. <see cref="HubOptionsCheck"/> judges it at start.</summary>
public sealed record HubOptions
{
    /// <summary>The hub's name in the mesh. Default: <c>hub</c>.</summary>
    public NodeId Node { get; init; } = NodeId.Parse("hub");

    /// <summary>Folder of the journal and the store; made when missing. No default.</summary>
    public required string DataFolder { get; init; }

    /// <summary>
    /// Address that pages, JSON and gRPC share. Default: <c>http://127.0.0.1:7433</c>; port 0 takes any free port.
    /// An http address must be a loopback one, and everybody on this machine may do everything. At an https address the hub
    /// answers enrolled devices only (docs/enrolment.md); <c>https://0.0.0.0:7433</c> is every address of this machine.
    /// </summary>
    public Uri Listen { get; init; } = new("http://127.0.0.1:7433");

    /// <summary>
    /// A certificate of its own for TLS 1.3, for measurements: nobody needs to be enrolled, so only loopback is allowed with it.
    /// Null, the default: at an https address the hub shows the certificate of its trip.
    /// </summary>
    public X509Certificate2? Certificate { get; init; }

    /// <summary>A PostgreSQL database for the store, which other hubs may share. Default: null, the embedded store in the data folder.</summary>
    public PostgresAddress? Database { get; init; }

    /// <summary>How long after a store failed it is opened again: 1 s to 10 min. Default: 30 s.</summary>
    public TimeSpan StoreRetry { get; init; } = TimeSpan.FromSeconds(30);

    /// <summary>The trip file; null when the kit is declared elsewhere (by another hub, for example).</summary>
    public string? TripFile { get; init; }

    /// <summary>
    /// Addresses of hubs to exchange everything with, at most <see cref="MostHubs"/>. https at a hub that others can reach, by this hub's own
    /// certificate; http to another hub on this machine. Default: none, others may dial this one.
    /// </summary>
    public IReadOnlyList<Uri> Hubs { get; init; } = [];

    /// <summary>The most hubs that one dials.</summary>
    public const int MostHubs = 16;

    /// <summary>The largest encoded report, in bytes: 1,024 to 1,048,576. Default: 65,536.</summary>
    public int MaxReportBytes { get; init; } = 65_536;

    /// <summary>The largest message on a stream, in bytes: 65,536 to 67,108,864. Default: 4 MiB.</summary>
    public int MaxMessageBytes { get; init; } = 4 << 20;

    /// <summary>Bytes of reports in flight for all senders together, in bytes: 1 MiB to 1 GiB. Default: 64 MiB.</summary>
    public long CreditBytes { get; init; } = 64L << 20;

    /// <summary>Most sessions at once: 1 to 10,000. Default: 256.</summary>
    public int MaxSessions { get; init; } = 256;

    /// <summary>Longest time a unary call may take: 1 s to 10 min. Default: 30 s. A caller's shorter deadline wins.</summary>
    public TimeSpan CallTimeout { get; init; } = TimeSpan.FromSeconds(30);

    /// <summary>Longest time for one frame to leave for a peer; one that reads nothing for so long is let go: 1 s to 10 min. Default: 2 min.</summary>
    public TimeSpan PeerReadsWithin { get; init; } = TimeSpan.FromMinutes(2);

    /// <summary>How far the hub's own wall clock can be believed. Default: <see cref="ClockTrust.HardwareClock"/>.</summary>
    public ClockTrust ClockTrust { get; init; } = ClockTrust.HardwareClock;

    /// <summary>Seed of the outlook's random paths: the same seed and reports give the same outlook. Default: 1.</summary>
    public ulong OutlookSeed { get; init; } = 1;

    /// <summary>Paths of the energy outlook: 1,000 to 1,000,000. Default: 10,000.</summary>
    public int OutlookPaths { get; init; } = 10_000;

    /// <summary>How long a page waits for an outlook that fits before it shows the last one with its age; the next comes by itself. Tests wait longer.</summary>
    internal TimeSpan PagePatience { get; init; } = TimeSpan.FromMilliseconds(300);

    /// <summary>Where figures and traces are sent by OTLP over HTTP (the base address; <c>/v1/metrics</c> and <c>/v1/traces</c> are added). Default: null, nowhere.</summary>
    public Uri? Otlp { get; init; }

    /// <summary>Whether only enrolled devices are answered.</summary>
    public bool AsksWho => Certificate is null && Listen.IsAbsoluteUri && Listen.Scheme == Uri.UriSchemeHttps;

    /// <summary>Where these options were written, for messages: a file, or <c>command line</c>.</summary>
    public string Origin { get; init; } = "command line";
}
