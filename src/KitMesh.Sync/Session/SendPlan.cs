using KitMesh.Domain;
using KitMesh.Domain.Exchange;
using KitMesh.Domain.Reports;
using KitMesh.Sync.Journal;

namespace KitMesh.Sync.Session;

/// <summary>Decides which reports go to the peer next: what it lacks, origin by origin in turn, and the other sides of forks.</summary>
/// <remarks>Without terms the oldest go first. With terms the urgent ones do, and of the rest the newest (<see cref="UrgentScan"/>).</remarks>
/// <param name="journal">What is durable here; nothing else is ever sent.</param>
/// <param name="options">Sizes of frames.</param>
/// <param name="progress">What the peer has and was sent.</param>
internal sealed class SendPlan(IJournalView journal, SessionOptions options, ProgressTable progress)
{
    /// <summary>The most single reports queued for forks; what does not fit is found again in the next session.</summary>
    private const int MaxSingles = 4_096;

    /// <summary>What is made ready at once under terms: a budget is passed by no more than this, and the largest report fits.</summary>
    private const long MostReady = ReportsFrame.MaxReportBytes + ReportsFrame.CostPerReport;

    private readonly OriginTurns _turns = new();
    private readonly OriginTurns _urgent = new();
    private readonly Queue<(OriginId Origin, ReportContent Content)> _singles = new();
    private readonly Queue<ReportsFrame> _ready = new();
    private LinkTerms? _terms;
    private UrgentScan? _scan;

    /// <summary>Whether nothing is left to send now; what waits for tomorrow's budget does not count.</summary>
    public bool IsEmpty => _singles.Count == 0 && _ready.Count == 0 && (_urgent.Count == 0 || !HasRoom) && (_turns.Count == 0 || !HasRoomForReadings);

    private bool HasRoom => _terms?.Meter is not { HasRoom: false };

    private bool HasRoomForReadings => _terms?.Meter is not { HasRoomForReadings: false };

    /// <summary>The peer is known, and with it the link.</summary>
    public void Bind(LinkTerms? terms)
    {
        _terms = terms;
        _scan = terms is null ? null : new UrgentScan(journal, options, terms);
    }

    /// <summary>An origin may have something that the peer lacks.</summary>
    public void Look(OriginId origin)
    {
        _turns.Add(origin);
        if (_scan is not null)
        {
            _urgent.Add(origin);
        }
    }

    /// <summary>The peer lacks one report although it has its sequence.</summary>
    public void Add(OriginId origin, ReportContent content)
    {
        if (_singles.Count < MaxSingles)
        {
            _singles.Enqueue((origin, content));
        }
    }

    /// <summary>The next frame that the peer's credit covers, or null.</summary>
    /// <param name="credit">What the peer still takes.</param>
    /// <param name="damage">What the journal found damaged on the way.</param>
    public ReportsFrame? Next(long credit, out JournalDamage? damage)
    {
        damage = null;
        while (_ready.Count == 0)
        {
            bool more = _singles.Count > 0 ? ReadSingle()
                : _urgent.Count > 0 ? HasRoom && ReadUrgent(Math.Min(credit, MostReady))
                : _turns.Count > 0 && HasRoomForReadings && ReadTurn(_terms is null ? credit : Math.Min(credit, MostReady), out damage);
            if (!more)
            {
                return null;
            }
        }

        return _ready.Peek().Cost <= credit ? _ready.Dequeue() : null;
    }

    private bool ReadSingle()
    {
        (OriginId origin, ReportContent content) = _singles.Dequeue();
        JournalRead read = journal.Read(origin, new SequenceRange(content.Sequence, content.Sequence), ReportsFrame.MaxBytes);
        foreach (RawReport report in read.Reports)
        {
            if (Sha256Hash.Of(report.Bytes.Span) == content.Hash)
            {
                _ready.Enqueue(new ReportsFrame(origin, content.Sequence, [report.Bytes]));
                break;
            }
        }

        return true;
    }

    private SequenceRanges Needed(OriginId origin, OriginProgress seen) =>
        journal.Have(origin) is { } mine ? mine.Kept.Except(seen.PeerHas).Except(seen.Sent) : SequenceRanges.Empty;

    private bool ReadUrgent(long credit)
    {
        OriginId origin = _urgent.Now;
        OriginProgress seen = progress.Of(origin);
        switch (_scan!.Look(origin, Needed(origin, seen), seen, credit, _ready))
        {
            case UrgentScan.Outcome.Waits:
                return false;
            case UrgentScan.Outcome.Done:
                _urgent.End();
                return true;
            default:
                _urgent.Pass();
                return true;
        }
    }

    private bool ReadTurn(long credit, out JournalDamage? damage)
    {
        damage = null;
        OriginId origin = _turns.Now;
        OriginProgress seen = progress.Of(origin);
        SequenceRanges needed = Needed(origin, seen);
        if (needed.IsEmpty)
        {
            _turns.End();
            return true;
        }

        if (credit <= ReportsFrame.CostPerReport)
        {
            return false;
        }

        SequenceRange range = Part(needed, seen);
        JournalRead read = journal.Read(origin, range, (int)Math.Min(options.FrameBytes, credit));
        damage = read.Damage;
        if (read.Reports.Count == 0)
        {
            // Damage or a race with retention: what cannot be read cannot be sent; the next session looks again.
            seen.Sent = seen.Sent.With(range);
            seen.PeerHas = seen.PeerHas.With(range);
            return true;
        }

        ulong last = Fill(origin, read.Reports, credit);
        if (last == 0 && (last = Split(origin, read.Reports)) == 0)
        {
            return false;
        }

        seen.Sent = seen.Sent.With(new SequenceRange(range.First, last));
        _turns.Pass();
        return true;
    }

    /// <summary>No more than a frame takes: what is read beyond it would be read again for the next.</summary>
    private SequenceRange Part(SequenceRanges needed, OriginProgress seen)
    {
        ulong most = (ulong)options.FrameReports;

        // Gaps are filled from below once there are many: else a peer would go on with ever more ranges.
        if (_scan is null || seen.PeerHas.Union(seen.Sent).Count >= UrgentScan.MostFragments)
        {
            SequenceRange oldest = needed[0];
            return oldest.Count <= most ? oldest : new SequenceRange(oldest.First, oldest.First + most - 1);
        }

        SequenceRange newest = needed[^1];
        return newest.Count <= most ? newest : new SequenceRange(newest.Last - most + 1, newest.Last);
    }

    /// <summary>
    /// Queues the reports of a forked sequence one by one. Together they can cost more than any credit that ever comes; one
    /// report's cost always does.
    /// </summary>
    /// <returns>The sequence; 0 when it is not forked.</returns>
    private ulong Split(OriginId origin, IReadOnlyList<RawReport> reports)
    {
        ulong sequence = reports[0].Key.Sequence;
        if (reports.Count == 1 || reports[1].Key.Sequence != sequence)
        {
            return 0;
        }

        foreach (RawReport report in reports.TakeWhile(report => report.Key.Sequence == sequence))
        {
            Add(origin, new ReportContent(sequence, Sha256Hash.Of(report.Bytes.Span)));
        }

        return sequence;
    }

    /// <summary>Makes frames of neighbours as far as the credit goes, never between two reports of one sequence.</summary>
    /// <returns>The last sequence that is whole in the frames; 0 when the credit does not cover the first.</returns>
    private ulong Fill(OriginId origin, IReadOnlyList<RawReport> reports, long credit)
    {
        int end = 0;
        long cost = 0;
        for (int i = 0; i < reports.Count && i < options.FrameReports; i++)
        {
            cost += reports[i].Bytes.Length + ReportsFrame.CostPerReport;
            if (cost > credit)
            {
                break;
            }

            if (i + 1 == reports.Count || reports[i + 1].Key.Sequence != reports[i].Key.Sequence)
            {
                end = i + 1;
            }
        }

        for (int start = 0; start < end;)
        {
            int next = start + 1;
            while (next < end && reports[next].Key.Sequence == reports[next - 1].Key.Sequence + 1)
            {
                next++;
            }

            var run = new ReadOnlyMemory<byte>[next - start];
            for (int i = 0; i < run.Length; i++)
            {
                run[i] = reports[start + i].Bytes;
            }

            _ready.Enqueue(new ReportsFrame(origin, reports[start].Key.Sequence, run));
            start = next;
        }

        return end == 0 ? 0 : reports[end - 1].Key.Sequence;
    }
}
