using KitMesh.Domain.Exchange;
using KitMesh.Domain.Reports;
using KitMesh.Sync.Journal;

namespace KitMesh.Sync.Session;

/// <summary>Picks the urgent reports out of what the peer lacks, newest first, for links that cannot carry everything soon.</summary>
/// <remarks>
/// <para>
/// Problem: after a week without a link a hub lacks perhaps a million readings and, somewhere among them, five alerts. The
/// journal has no index by kind. Method: for each origin a window of sequences walks from the newest backwards; what is
/// urgent in it is sent, the rest is left to the ordinary turns. A window is remembered as seen, so that each sequence is
/// looked at once a session.
/// </para>
/// <para>
/// Trap: every urgent report among readings leaves the peer a range of its own, and ranges go into each hello after that.
/// So past <see cref="MostFragments"/> ranges, or <see cref="MostLookedAt"/> sequences of one origin, only what is newer
/// than everything seen is still picked out; the rest comes with its neighbours.
/// </para>
/// </remarks>
internal sealed class UrgentScan(IJournalView journal, SessionOptions options, LinkTerms terms)
{
    /// <summary>Ranges of one origin at the peer past which no more are made for older reports.</summary>
    internal const int MostFragments = 256;

    /// <summary>How far back one origin is looked through, in sequences.</summary>
    internal const ulong MostLookedAt = 65_536;

    private const ulong Window = 256;
    private readonly Dictionary<OriginId, SequenceRanges> _seen = [];

    /// <summary>What came of a look at one window.</summary>
    internal enum Outcome
    {
        /// <summary>Nothing is left to look at.</summary>
        Done,

        /// <summary>A window was looked at; there may be frames.</summary>
        Went,

        /// <summary>The credit does not cover the next urgent report.</summary>
        Waits,
    }

    /// <summary>Looks at the next window of an origin.</summary>
    /// <param name="origin">The origin.</param>
    /// <param name="needed">What the peer lacks of it.</param>
    /// <param name="progress">What the peer has and was sent; grows.</param>
    /// <param name="credit">What the peer still takes.</param>
    /// <param name="ready">Takes the frames.</param>
    public Outcome Look(OriginId origin, SequenceRanges needed, OriginProgress progress, long credit, Queue<ReportsFrame> ready)
    {
        SequenceRanges seen = _seen.GetValueOrDefault(origin, SequenceRanges.Empty);
        bool isFull = seen.Numbers >= MostLookedAt || progress.PeerHas.Union(progress.Sent).Count >= MostFragments;
        SequenceRanges unseen = needed.Except(seen);
        if (isFull)
        {
            seen = seen.IsEmpty && !needed.IsEmpty ? SequenceRanges.Of(1, needed.Last) : seen;
            unseen = unseen.Intersect(SequenceRanges.Of(seen.Last + 1, ulong.MaxValue - 1));
            _seen[origin] = seen;
        }

        if (unseen.IsEmpty)
        {
            return Outcome.Done;
        }

        SequenceRange newest = unseen[^1];
        var window = new SequenceRange(newest.Last - newest.First < Window ? newest.First : newest.Last - Window + 1, newest.Last);
        IReadOnlyList<RawReport> reports = journal.Read(origin, window, ReportsFrame.MaxBytes).Reports;
        ulong last = reports.Count == 0 ? window.Last : reports[^1].Key.Sequence;
        ulong first = Pick(origin, reports, window.First, progress, credit, ready);
        if (first > last)
        {
            return Outcome.Waits;
        }

        _seen[origin] = seen.With(new SequenceRange(first, last));
        return Outcome.Went;
    }

    /// <summary>Makes frames of the urgent reports, newest first, as far as the credit goes.</summary>
    /// <returns>The lowest sequence that was dealt with.</returns>
    private ulong Pick(OriginId origin, IReadOnlyList<RawReport> reports, ulong first, OriginProgress progress, long credit, Queue<ReportsFrame> ready)
    {
        long cost = 0;
        long frameBytes = 0;
        int end = reports.Count;
        for (int i = reports.Count - 1; i >= 0; i--)
        {
            int length = reports[i].Bytes.Length;
            if (IsForked(reports, i) || !terms.IsUrgent(reports[i].Bytes))
            {
                Flush(origin, reports, i + 1, end, progress, ready);
                (end, frameBytes) = (i, 0);
                continue;
            }

            cost += length + ReportsFrame.CostPerReport;
            if (cost > credit)
            {
                Flush(origin, reports, i + 1, end, progress, ready);
                return reports[i].Key.Sequence + 1;
            }

            bool isApart = i + 1 < end && reports[i + 1].Key.Sequence != reports[i].Key.Sequence + 1;
            if (isApart || (i + 1 < end && frameBytes + length > options.FrameBytes) || end - i > options.FrameReports)
            {
                Flush(origin, reports, i + 1, end, progress, ready);
                (end, frameBytes) = (i + 1, 0);
            }

            frameBytes += length;
        }

        Flush(origin, reports, 0, end, progress, ready);
        return first;
    }

    /// <summary>Two contents under one sequence go together or one by one: the ordinary turns know how.</summary>
    private static bool IsForked(IReadOnlyList<RawReport> reports, int i) =>
        (i > 0 && reports[i - 1].Key.Sequence == reports[i].Key.Sequence) || (i + 1 < reports.Count && reports[i + 1].Key.Sequence == reports[i].Key.Sequence);

    private static void Flush(OriginId origin, IReadOnlyList<RawReport> reports, int from, int to, OriginProgress progress, Queue<ReportsFrame> ready)
    {
        if (from >= to)
        {
            return;
        }

        var run = new ReadOnlyMemory<byte>[to - from];
        for (int i = 0; i < run.Length; i++)
        {
            run[i] = reports[from + i].Bytes;
        }

        ulong first = reports[from].Key.Sequence;
        progress.Sent = progress.Sent.With(new SequenceRange(first, first + (ulong)run.Length - 1));
        ready.Enqueue(new ReportsFrame(origin, first, run));
    }
}
