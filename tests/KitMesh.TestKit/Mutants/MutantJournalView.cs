using KitMesh.Domain.Exchange;
using KitMesh.Domain.Reports;
using KitMesh.Sync.Journal;

namespace KitMesh.TestKit.Mutants;

/// <summary>What a session sees of a journal, with one of the host's mistakes.</summary>
/// <param name="inner">The journal.</param>
/// <param name="mutant">The mistake.</param>
/// <param name="gathered">Keys that are gathered for the next commit and not durable.</param>
public sealed class MutantJournalView(IJournalView inner, Mutant mutant, Func<IEnumerable<ReportKey>> gathered) : IJournalView
{
    public ulong JournalId => inner.JournalId;

    public OriginId Own => inner.Own;

    public JournalPosition End => inner.End;

    public static IJournalView Wrap(IJournalView inner, Mutant mutant, Func<IEnumerable<ReportKey>> gathered) => mutant
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
        SequenceRanges ranges = holding.Ranges;
        if (mutant == Mutant.HoldingWithoutGaps && !ranges.IsEmpty)
        {
            ranges = SequenceRanges.Of(1, ranges.Last);
        }
        else if (mutant == Mutant.HoldingBeforeSync)
        {
            ranges = ranges.Union(Gathered(holding.Origin));
        }

        return holding with { Ranges = ranges };
    }

    private OriginHolding? Unborn(OriginId origin)
    {
        SequenceRanges ranges = mutant == Mutant.HoldingBeforeSync ? Gathered(origin) : SequenceRanges.Empty;
        return ranges.IsEmpty ? null : new OriginHolding(origin, ranges, SequenceRanges.Empty, 0, ReportChain.Seed(origin), []);
    }

    private SequenceRanges Gathered(OriginId origin) => SequenceRanges.FromUnordered(
        gathered().Where(key => key.Origin == origin).Select(key => new SequenceRange(key.Sequence, key.Sequence)));
}
