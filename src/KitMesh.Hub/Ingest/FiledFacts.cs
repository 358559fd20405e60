using KitMesh.Domain.Reports;
using KitMesh.Domain.Time;
using KitMesh.Footage.Ledger;
using NodaTime;

namespace KitMesh.Hub.Ingest;

/// <summary>What is kept by time beside the state: the footage ledger and the pictures of the packs.</summary>
/// <remarks>
/// Problem: neither can take a fact back, so when times move they are built anew. Method: only if a node that wrote
/// something of theirs has other times now, and then from a pass over the journal that decodes nothing else.
/// </remarks>
/// <param name="rights">Whose word counts.</param>
internal sealed class FiledFacts(IWriterRights rights)
{
    private readonly Lock _gate = new();
    private readonly HashSet<NodeId> _ledgerNodes = [];
    private readonly HashSet<NodeId> _packNodes = [];
    private FootageLedger _ledger = new(rights);

    /// <summary>The newest values of each pack, put together from all devices.</summary>
    public PackPictures Packs { get; } = new();

    /// <summary>The ledger at a moment of world time.</summary>
    public LedgerSnapshot LedgerAt(Instant now)
    {
        lock (_gate)
        {
            return _ledger.Now(now);
        }
    }

    /// <summary>The ledger as it stood at a past moment, with all that is known by now.</summary>
    public LedgerSnapshot LedgerOf(Instant past)
    {
        lock (_gate)
        {
            return _ledger.At(past);
        }
    }

    /// <summary>Files new reports.</summary>
    public void Add(IReadOnlyList<DecodedEntry> fresh, Retiming retiming)
    {
        lock (_gate)
        {
            foreach (DecodedEntry entry in fresh)
            {
                File(entry.Report, retiming, toLedger: true, toPacks: true);
            }
        }
    }

    /// <summary>Files everything again whose times may have moved.</summary>
    /// <param name="moved">Nodes with other times.</param>
    /// <param name="retiming">The times that hold now.</param>
    /// <param name="filed">Gives what was filed so far, as far as it is of a wanted kind.</param>
    public void Retime(IReadOnlySet<NodeId> moved, Retiming retiming, Func<Func<ReportKind, bool>, IEnumerable<DecodedEntry>> filed)
    {
        bool toLedger = _ledgerNodes.Overlaps(moved);
        bool toPacks = _packNodes.Overlaps(moved);
        if (!toLedger && !toPacks)
        {
            return;
        }

        lock (_gate)
        {
            _ledger = toLedger ? new FootageLedger(rights) : _ledger;
            if (toPacks)
            {
                Packs.Clear();
            }

            foreach (DecodedEntry entry in filed(kind => (toLedger && !IsReading(kind)) || (toPacks && kind == ReportKind.BatteryReading)))
            {
                File(entry.Report, retiming, toLedger, toPacks);
            }
        }
    }

    private void File(Report report, Retiming retiming, bool toLedger, bool toPacks)
    {
        bool isReading = IsReading(report.Body.Kind);
        if (isReading && report.Body is not BatteryReading)
        {
            return;
        }

        TimedReport timed = retiming.Time(report);
        if (!isReading && toLedger)
        {
            _ledgerNodes.Add(report.Key.Origin.Node);
            _ledger.Add(timed);
        }
        else if (isReading && toPacks)
        {
            _packNodes.Add(report.Key.Origin.Node);
            Packs.Add(timed);
        }
    }

    /// <summary>Readings say nothing about footage.</summary>
    private static bool IsReading(ReportKind kind) =>
        kind is ReportKind.BatteryReading or ReportKind.TemperatureReading or ReportKind.PanelReading or ReportKind.LoadReading;
}
