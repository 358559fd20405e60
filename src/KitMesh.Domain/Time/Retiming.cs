using KitMesh.Domain.Reports;
using NodaTime;

namespace KitMesh.Domain.Time;

/// <summary>Says when a report was written, from all clock pairs that the mesh holds: a pure function of their set.</summary>
/// <remarks>
/// <para>
/// Problem: devices wake in 1970, in 2000 or in 2099; hubs may lack a clock too; what is certain is only that a boot's
/// monotonic clock runs on. A clock pair ties two boots together at one moment and says what both wall clocks claim and
/// how far each can be believed. Every hub must derive the same times from the same pairs, in whatever order they came.
/// </para>
/// <para>
/// Method: boots are points of a graph and pairs its links. In each connected part the best believed wall clocks are the
/// roots. From satellite or network time every such boot is a root, since those clocks agree with each other; clocks set
/// by hand or running on a battery do not, so there one boot is the root of all (the one with the most links, then the
/// first by name), and the order of facts is right even where the hour is not. The other boots get their time over the
/// fewest links; among links of equal length the one with the least doubt at the moment asked for decides: half the
/// round trips along the way and the drift since (<see cref="AnchorLine"/>), which is the nearest pair in the ordinary case.
/// </para>
/// <para>
/// Traps: a wall clock outside <see cref="Earliest"/> to <see cref="Latest"/> is dead whatever it claims to be. A boot
/// that nobody ever met keeps its own wall time with rank unknown: kept, marked, and left out by the models.
/// </para>
/// </remarks>
public sealed class Retiming
{
    /// <summary>No wall clock before this is believed: it is older than this software.</summary>
    public static readonly Instant Earliest = Instant.FromUtc(2025, 1, 1, 0, 0);

    /// <summary>No wall clock from this on is believed.</summary>
    public static readonly Instant Latest = Instant.FromUtc(2080, 1, 1, 0, 0);

    /// <summary>Retiming without any clock pair: wall clocks as they are.</summary>
    public static readonly Retiming None = new([]);

    private readonly Dictionary<BootTimeline, AnchorLine> _lines;

    private Retiming(Dictionary<BootTimeline, AnchorLine> lines) => _lines = lines;

    /// <summary>Retiming from clock pairs.</summary>
    /// <param name="observations">All pairs, in any order; duplicates change nothing.</param>
    public static Retiming From(IEnumerable<ClockObservation> observations)
    {
        ArgumentNullException.ThrowIfNull(observations);
        return new Retiming(new ClockGraph(observations).Resolve());
    }

    /// <summary>When something was written.</summary>
    /// <param name="node">Who wrote it.</param>
    /// <param name="written">What its clocks said.</param>
    public RetimedInstant Of(NodeId node, DeviceTime written)
    {
        if (!_lines.TryGetValue(new BootTimeline(node, written.Boot), out AnchorLine? line))
        {
            return new RetimedInstant(written.Wall, ClockTrust.Unknown, Duration.MaxValue);
        }

        ClockAnchor anchor = line.At(written.MonotonicNanoseconds);
        return new RetimedInstant(
            UnixNanoseconds.ToInstant(anchor.TimeAt(written.MonotonicNanoseconds)),
            line.Trust,
            Duration.FromNanoseconds(anchor.DoubtAt(written.MonotonicNanoseconds)));
    }

    /// <summary>A report with its time.</summary>
    /// <param name="report">The report.</param>
    public TimedReport Time(Report report)
    {
        ArgumentNullException.ThrowIfNull(report);
        RetimedInstant time = Of(report.Key.Origin.Node, report.Written);
        return new TimedReport(report, time.Time, time.Trust);
    }

    /// <summary>Whether any of some boots has other times in another retiming.</summary>
    /// <param name="other">The other retiming.</param>
    /// <param name="boots">The boots that matter.</param>
    internal bool Differs(Retiming other, IReadOnlySet<BootTimeline> boots) =>
        boots.Any(boot => !Equals(_lines.GetValueOrDefault(boot), other._lines.GetValueOrDefault(boot)));

    /// <summary>The nodes of which any boot has other times in another retiming: what a view that keeps times must renew.</summary>
    /// <param name="other">The other retiming.</param>
    public IReadOnlySet<NodeId> NodesThatDiffer(Retiming other)
    {
        ArgumentNullException.ThrowIfNull(other);
        var nodes = new HashSet<NodeId>();
        foreach (BootTimeline boot in _lines.Keys.Concat(other._lines.Keys))
        {
            if (!nodes.Contains(boot.Node) && !Equals(_lines.GetValueOrDefault(boot), other._lines.GetValueOrDefault(boot)))
            {
                nodes.Add(boot.Node);
            }
        }

        return nodes;
    }

    /// <summary>Whether a wall clock can be right at all.</summary>
    /// <param name="wall">What it says.</param>
    public static bool IsPlausible(Instant wall) => wall >= Earliest && wall < Latest;
}
