using KitMesh.Domain.Exchange;
using KitMesh.Domain.Reports;
using KitMesh.Sync.Journal;

namespace KitMesh.TestKit.Mutants;

/// <summary>What a session sees of a journal, with one of the host's mistakes.</summary>
/// <param name="inner">The journal.</param>
/// <param name="mutant">The mistake.</param>
/// <param name="gathered">Reports that are gathered for the next commit and not durable.</param>
public sealed class MutantJournalView(IJournalView inner, Mutant mutant, Func<IEnumerable<RawReport>> gathered) : IJournalView
{
    public ulong JournalId => inner.JournalId;

    public OriginId Own => inner.Own;

    public JournalPosition End => inner.End;

    public static IJournalView Wrap(IJournalView inner, Mutant mutant, Func<IEnumerable<RawReport>> gathered) => mutant
        is Mutant.HoldingBeforeSync
        or Mutant.HoldingWithoutGaps
        or Mutant.RelayRewrites
        ? new MutantJournalView(inner, mutant, gathered)
        : inner;

    public IReadOnlyList<OriginHolding> Have() => [.. inner.Have().Select(Changed)];

    public OriginHolding? Have(OriginId origin) =>
        inner.Have(origin) is { } holding ? Changed(holding) : Unborn(origin);

    public Sha256Hash? ChainAt(OriginId origin, ulong sequence) => inner.ChainAt(origin, sequence);

    public JournalRead Read(OriginId origin, SequenceRange range, int maxBytes)
    {
        JournalRead read = inner.Read(origin, range, maxBytes);
        return mutant == Mutant.RelayRewrites && origin.Node != Own.Node
            ? new JournalRead([.. read.Reports.Select(report => new RawReport(report.Key, Rewritten(report.Bytes)))], read.Damage)
            : read;
    }

    public IReadOnlyList<ReportContent> Contents(OriginId origin, SequenceRange range, int most) => inner.Contents(origin, range, most);

    public IEnumerable<JournalEntry> Replay(JournalPosition from) => inner.Replay(from);

    /// <summary>The same message with an unknown field at its end, as a relay leaves it that decodes and encodes anew.</summary>
    private static byte[] Rewritten(ReadOnlyMemory<byte> bytes) => [.. bytes.Span, 0xB8, 0x3E, 0x01];

    private OriginHolding Changed(OriginHolding holding)
    {
        if (mutant == Mutant.HoldingWithoutGaps && !holding.Ranges.IsEmpty)
        {
            return holding with { Ranges = SequenceRanges.Of(1, holding.Ranges.Last) };
        }

        return mutant == Mutant.HoldingBeforeSync ? WithGathered(holding) : holding;
    }

    private OriginHolding? Unborn(OriginId origin)
    {
        OriginHolding holding = new(origin, SequenceRanges.Empty, SequenceRanges.Empty, 0, ReportChain.Seed(origin), []);
        return mutant == Mutant.HoldingBeforeSync && WithGathered(holding) is { Ranges.IsEmpty: false } early ? early : null;
    }

    private OriginHolding WithGathered(OriginHolding holding)
    {
        foreach (RawReport report in gathered().Where(report => report.Key.Origin == holding.Origin).OrderBy(report => report.Key.Sequence))
        {
            ulong sequence = report.Key.Sequence;
            holding = holding with { Ranges = holding.Ranges.With(new SequenceRange(sequence, sequence)) };
            if (sequence == holding.ChainSequence + 1)
            {
                holding = holding with { ChainSequence = sequence, ChainHash = ReportChain.Next(holding.ChainHash, sequence, report.Bytes.Span) };
            }
        }

        return holding;
    }
}
