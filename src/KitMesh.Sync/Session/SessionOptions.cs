using KitMesh.Domain.Exchange;
using KitMesh.Domain.Reports;
using NodaTime;

namespace KitMesh.Sync.Session;

/// <summary>How a session behaves.</summary>
public sealed record SessionOptions
{
    /// <summary>This node.</summary>
    public required NodeId Node { get; init; }

    /// <summary>What it is.</summary>
    public required NodeRole Role { get; init; }

    /// <summary>Its software, for people; at most 100 characters are said.</summary>
    public string Software { get; init; } = "kitmesh";

    /// <summary>Version of the fold behind its state fingerprint; 0 for none.</summary>
    public uint FoldVersion { get; init; }

    /// <summary>The lowest protocol version spoken.</summary>
    public uint LowestVersion { get; init; } = ProtocolVersions.Lowest;

    /// <summary>The highest protocol version spoken.</summary>
    public uint HighestVersion { get; init; } = ProtocolVersions.Highest;

    /// <summary>Who the peer must be, as its certificate says; null while nobody has certificates.</summary>
    public NodeId? ExpectedPeer { get; init; }

    /// <summary>Whether a peer that calls itself a hub may pass on what others wrote. True when not said.</summary>
    public bool PeerMayRelay { get; init; } = true;

    /// <summary>Whether the peer may call itself a hub: its certificate says so, or nobody has certificates. True when not said.</summary>
    public bool PeerMayBeHub { get; init; } = true;

    /// <summary>What holds on the link to a hub; null, the default, and null for a hub: the link is good, and the oldest reports go first.</summary>
    public Func<NodeId, LinkTerms?>? TermsOf { get; init; }

    /// <summary>Bytes of credit that a session would like. From 128 KiB to 64 MiB; 1 MiB when not said.</summary>
    public long Window { get; init; } = 1 << 20;

    /// <summary>Bytes of reports in one frame. From 4 KiB to 1 MiB; 256 KiB when not said. Thin links want less: what a cut loses is one frame.</summary>
    public int FrameBytes { get; init; } = 256 << 10;

    /// <summary>Reports in one frame. From 1 to 4,096; 1,000 when not said.</summary>
    public int FrameReports { get; init; } = 1_000;

    /// <summary>How long a peer may take to say hello. 10 s when not said.</summary>
    public Duration HelloTimeout { get; init; } = Duration.FromSeconds(10);

    /// <summary>How long sent reports may stay unanswered. 2 minutes when not said.</summary>
    public Duration DurableTimeout { get; init; } = Duration.FromMinutes(2);

    /// <summary>Least time between two fingerprints. 1 minute when not said.</summary>
    public Duration FingerprintInterval { get; init; } = Duration.FromMinutes(1);

    /// <summary>The most origins that a peer may name. 100,000 when not said.</summary>
    public int MaxOrigins { get; init; } = 100_000;

    /// <summary>Throws when an option is out of its range.</summary>
    /// <exception cref="ArgumentOutOfRangeException">An option is out of its range.</exception>
    public void Validate()
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(Window, 128 << 10);
        ArgumentOutOfRangeException.ThrowIfGreaterThan(Window, 64L << 20);
        ArgumentOutOfRangeException.ThrowIfLessThan(FrameBytes, 4 << 10);
        ArgumentOutOfRangeException.ThrowIfGreaterThan(FrameBytes, ReportsFrame.MaxBytes);
        ArgumentOutOfRangeException.ThrowIfLessThan(FrameReports, 1);
        ArgumentOutOfRangeException.ThrowIfGreaterThan(FrameReports, ReportsFrame.MaxReports);
        ArgumentOutOfRangeException.ThrowIfLessThan(HighestVersion, LowestVersion);
        ArgumentOutOfRangeException.ThrowIfLessThan(MaxOrigins, 1);
    }
}
