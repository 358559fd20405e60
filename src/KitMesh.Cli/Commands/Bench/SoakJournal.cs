using KitMesh.Domain.Exchange;
using KitMesh.Domain.Reports;
using KitMesh.Sync.Journal;

namespace KitMesh.Cli.Commands.Bench;

/// <summary>The journal of an agent that has written for long and keeps its last reports only, in memory: the hub has the others.</summary>
internal sealed class SoakJournal : IJournalView
{
    private RawReport[] _kept = [];
    private Sha256Hash _chain;

    /// <param name="origin">Whose journal it is.</param>
    public SoakJournal(OriginId origin)
    {
        Own = origin;
        _chain = ReportChain.Seed(origin);
    }

    public ulong JournalId => 1;

    public OriginId Own { get; }

    public JournalPosition End => new(1, (long)Last);

    private ulong Last => _kept.Length == 0 ? 0 : _kept[^1].Key.Sequence;

    private ulong First => _kept.Length == 0 ? 1 : _kept[0].Key.Sequence;

    /// <summary>Writes the next reports and drops those before them.</summary>
    public void Turn(RawReport[] reports)
    {
        foreach (RawReport report in reports)
        {
            _chain = ReportChain.Next(_chain, report.Key.Sequence, report.Bytes.Span);
        }

        _kept = reports;
    }

    public IReadOnlyList<OriginHolding> Have() => Last == 0 ? [] : [new OriginHolding(Own, SequenceRanges.Of(1, Last), SequenceRanges.Of(First, Last), Last, _chain, [])];

    public OriginHolding? Have(OriginId origin) => origin == Own ? Have().FirstOrDefault() : null;

    public Sha256Hash? ChainAt(OriginId origin, ulong sequence)
    {
        if (origin != Own || (sequence != 0 && sequence != Last))
        {
            return null;
        }

        return sequence == 0 ? ReportChain.Seed(origin) : _chain;
    }

    public JournalRead Read(OriginId origin, SequenceRange range, int maxBytes)
    {
        var reports = new List<RawReport>();
        int bytes = 0;
        for (ulong sequence = Math.Max(range.First, First); origin == Own && sequence <= Math.Min(range.Last, Last); sequence++)
        {
            RawReport report = _kept[sequence - First];
            bytes += report.Bytes.Length;
            if (reports.Count > 0 && bytes > maxBytes)
            {
                break;
            }

            reports.Add(report);
        }

        return new JournalRead(reports);
    }

    public IReadOnlyList<ReportContent> Contents(OriginId origin, SequenceRange range, int most) => [];

    public IEnumerable<JournalEntry> Replay(JournalPosition from) => [];
}
