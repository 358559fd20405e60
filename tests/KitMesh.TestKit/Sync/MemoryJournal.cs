using KitMesh.Domain;
using KitMesh.Domain.Exchange;
using KitMesh.Domain.Reports;
using KitMesh.Sync.Journal;
using KitMesh.Sync.Merge;
using NodaTime;

namespace KitMesh.TestKit.Sync;

/// <summary>A journal in memory for tests of sessions: what it holds is durable at once, and a copy of it is a restored disk.</summary>
public sealed class MemoryJournal : IJournalView
{
    private readonly SortedDictionary<OriginId, Held> _origins = [];

    public MemoryJournal(OriginId own) => Own = own;

    private MemoryJournal(MemoryJournal other)
        : this(other.Own)
    {
        foreach (RawReport report in other.All.Reports)
        {
            Append([report]);
        }
    }

    public ulong JournalId => 1;

    public OriginId Own { get; private set; }

    public JournalPosition End => default;

    public ReportSet All => ReportSet.Of(_origins.Values.SelectMany(origin => origin.Reports.Values).SelectMany(contents => contents));

    public ulong OwnLast => Have(Own)?.Ranges.Last ?? 0;

    /// <summary>How many reports it holds, forks included.</summary>
    public int Count { get; private set; }

    /// <summary>Duplicates that were appended so far.</summary>
    public int Duplicates { get; private set; }

    /// <summary>What a backup of the disk taken now would hold.</summary>
    public MemoryJournal Backup() => new(this);

    public void OpenEpoch(ulong epoch) => Own = Own with { Epoch = epoch };

    public ReportKey AppendOwn(Func<ReportKey, byte[]> encode)
    {
        var key = new ReportKey(Own, OwnLast + 1);
        Append([new RawReport(key, encode(key))]);
        return key;
    }

    public AppendResult Append(IReadOnlyList<RawReport> reports)
    {
        int written = 0;
        int duplicates = 0;
        var forks = new List<ReportKey>();
        foreach (RawReport report in reports)
        {
            if (!_origins.TryGetValue(report.Key.Origin, out Held? origin))
            {
                _origins.Add(report.Key.Origin, origin = new Held(report.Key.Origin));
            }

            List<RawReport> contents = origin.At(report.Key.Sequence);

            if (contents.Any(known => known.Bytes.Span.SequenceEqual(report.Bytes.Span)))
            {
                duplicates++;
                continue;
            }

            if (contents.Count > 0)
            {
                forks.Add(report.Key);
            }

            written++;
            contents.Add(new RawReport(report.Key, report.Bytes.ToArray()));
        }

        Count += written;
        Duplicates += duplicates;
        return new AppendResult.Durable(written, duplicates, forks.ToValueList(), 0, default);
    }

    /// <summary>A disk forgets one of the contents of a sequence that has others.</summary>
    public void LoseFork(RawReport report) =>
        Count -= _origins[report.Key.Origin].At(report.Key.Sequence).RemoveAll(known => known.Bytes.Span.SequenceEqual(report.Bytes.Span));

    public IReadOnlyList<OriginHolding> Have() => [.. _origins.Keys.Select(origin => Have(origin)!)];

    public OriginHolding? Have(OriginId origin) =>
        _origins.TryGetValue(origin, out Held? held)
            ? new OriginHolding(origin, held.Ranges, held.Ranges, held.Ranges.PrefixEnd, held.ChainAt(held.Ranges.PrefixEnd)!.Value, held.Forks.ToValueList())
            : null;

    public Sha256Hash? ChainAt(OriginId origin, ulong sequence) =>
        sequence == 0 ? ReportChain.Seed(origin) : _origins.TryGetValue(origin, out Held? held) ? held.ChainAt(sequence) : null;

    public JournalRead Read(OriginId origin, SequenceRange range, int maxBytes)
    {
        var reports = new List<RawReport>();
        int bytes = 0;
        foreach (IGrouping<ulong, RawReport> sequence in In(origin, range).GroupBy(report => report.Key.Sequence))
        {
            bytes += sequence.Sum(report => report.Bytes.Length);
            if (reports.Count > 0 && bytes > maxBytes)
            {
                break;
            }

            reports.AddRange(sequence);
        }

        return new JournalRead(reports);
    }

    public IReadOnlyList<ReportContent> Contents(OriginId origin, SequenceRange range, int most) =>
        [.. In(origin, range).Select(report => new ReportContent(report.Key.Sequence, Sha256Hash.Of(report.Bytes.Span))).Order()];

    public IEnumerable<JournalEntry> Replay(JournalPosition from) =>
        All.Reports.Select(report => new JournalEntry(report, NodaConstants.UnixEpoch, false, default));

    private IEnumerable<RawReport> In(OriginId origin, SequenceRange range) =>
        _origins.TryGetValue(origin, out Held? held)
            ? held.Reports.Where(entry => entry.Key >= range.First && entry.Key <= range.Last).SelectMany(entry => entry.Value)
            : [];

    private sealed class Held(OriginId origin)
    {
        private readonly List<Sha256Hash> _chain = [ReportChain.Seed(origin)];

        public SortedDictionary<ulong, List<RawReport>> Reports { get; } = [];

        public SequenceRanges Ranges { get; private set; } = SequenceRanges.Empty;

        public IEnumerable<ReportContent> Forks =>
            Reports.SelectMany(entry => entry.Value.Skip(1).Select(report => new ReportContent(entry.Key, Sha256Hash.Of(report.Bytes.Span)))).Order();

        /// <summary>The contents of a sequence that is about to get one more.</summary>
        public List<RawReport> At(ulong sequence)
        {
            if (!Reports.TryGetValue(sequence, out List<RawReport>? contents))
            {
                Reports.Add(sequence, contents = []);
                Ranges = Ranges.With(new SequenceRange(sequence, sequence));
            }

            if (sequence < (ulong)_chain.Count)
            {
                _chain.RemoveRange((int)sequence, _chain.Count - (int)sequence);
            }

            return contents;
        }

        public Sha256Hash? ChainAt(ulong sequence)
        {
            while ((ulong)_chain.Count <= sequence)
            {
                if (!Reports.TryGetValue((ulong)_chain.Count, out List<RawReport>? contents))
                {
                    return null;
                }

                _chain.Add(ChainOracle.Next(_chain[^1], (ulong)_chain.Count, contents));
            }

            return _chain[(int)sequence];
        }
    }
}
