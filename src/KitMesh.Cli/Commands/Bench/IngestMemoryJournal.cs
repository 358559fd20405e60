using KitMesh.Domain.Exchange;
using KitMesh.Domain.Reports;
using KitMesh.Sync.Journal;

namespace KitMesh.Cli.Commands.Bench;

/// <summary>An agent's journal that is all there already, in memory, so that a measurement of the hub does not measure the sender's disk.</summary>
internal sealed class IngestMemoryJournal : IJournalView
{
    private readonly IngestLoad _load;
    private readonly OriginHolding _holding;

    public IngestMemoryJournal(IngestLoad load)
    {
        _load = load;
        Sha256Hash chain = ReportChain.Seed(load.Origin);
        foreach (RawReport report in load.Reports)
        {
            chain = ReportChain.Next(chain, report.Key.Sequence, report.Bytes.Span);
        }

        SequenceRanges all = SequenceRanges.Of(1, (ulong)load.Reports.Length);
        _holding = new OriginHolding(load.Origin, all, all, (ulong)load.Reports.Length, chain, []);
    }

    public ulong JournalId => 1;

    public OriginId Own => _load.Origin;

    public JournalPosition End => new(1, 1);

    public IReadOnlyList<OriginHolding> Have() => [_holding];

    public OriginHolding? Have(OriginId origin) => origin == Own ? _holding : null;

    public Sha256Hash? ChainAt(OriginId origin, ulong sequence) =>
        origin == Own && sequence == _holding.ChainSequence ? _holding.ChainHash
        : origin == Own && sequence == 0 ? ReportChain.Seed(origin)
        : null;

    public JournalRead Read(OriginId origin, SequenceRange range, int maxBytes)
    {
        var reports = new List<RawReport>();
        int bytes = 0;
        for (ulong sequence = range.First; origin == Own && sequence <= range.Last; sequence++)
        {
            RawReport report = _load.Reports[sequence - 1];
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
