using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using KitMesh.Footage.Ledger;
using NodaTime;

namespace KitMesh.Export.Account;

/// <summary>Takes in reports, in any order, and keeps what an account needs of them.</summary>
public sealed class AccountFeed
{
    private readonly Dictionary<NodeId, List<long>> _heard = [];

    /// <summary>Reports taken in.</summary>
    public long Count { get; private set; }

    /// <summary>When the newest was written.</summary>
    public Instant Newest { get; private set; } = Instant.MinValue;

    internal List<TimedReading> Readings { get; } = [];

    internal List<TimedReport> Events { get; } = [];

    internal FootageLedger Ledger { get; } = new();

    /// <summary>Takes one in.</summary>
    /// <param name="timed">The report with its time.</param>
    public void Add(TimedReport timed)
    {
        ArgumentNullException.ThrowIfNull(timed);
        Count++;
        Newest = Instant.Max(Newest, timed.Time);
        Ledger.Add(timed);
        NodeId node = timed.Report.Key.Origin.Node;
        if (!_heard.TryGetValue(node, out List<long>? times))
        {
            _heard.Add(node, times = []);
        }

        times.Add(timed.Time.ToUnixTimeTicks());
        switch (timed.Report.Body)
        {
            case BatteryReading or TemperatureReading or PanelReading or LoadReading:
                Readings.Add(new TimedReading(timed.Time, timed.Report.Body));
                break;
            case CardSeen or ClipFound or CopyVerified or CopyFailed or AlertChanged or ReaderFault:
                Events.Add(timed);
                break;
        }
    }

    /// <summary>When a node wrote, oldest first.</summary>
    internal IReadOnlyList<Instant> Heard(NodeId node) =>
        _heard.TryGetValue(node, out List<long>? times) ? [.. times.Order().Select(Instant.FromUnixTimeTicks)] : [];
}
