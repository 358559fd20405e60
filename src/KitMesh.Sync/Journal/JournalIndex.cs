using KitMesh.Domain.Exchange;
using KitMesh.Domain.Reports;
using KitMesh.Sync.Journal.Format;

namespace KitMesh.Sync.Journal;

/// <summary>All origins and segments of a journal, in memory.</summary>
internal sealed class JournalIndex
{
    private readonly SortedDictionary<OriginId, OriginIndex> _origins = [];
    private readonly List<Segment> _segments = [];

    /// <summary>Oldest first.</summary>
    internal IReadOnlyList<Segment> Segments => _segments;

    internal IEnumerable<OriginIndex> Origins => _origins.Values;

    internal int OriginCount => _origins.Count;

    internal int RangeCount => _origins.Values.Sum(origin => origin.Known.Count);

    internal OriginIndex? Find(OriginId origin) => _origins.GetValueOrDefault(origin);

    internal void Add(Segment segment) => _segments.Add(segment);

    /// <summary>Takes a durable frame in. A standing frame counts as knowledge only where nothing older is kept.</summary>
    internal void Take(Segment segment, in Frame frame)
    {
        switch (frame.Kind)
        {
            case FrameKind.Standing:
                TakeStanding(segment, frame);
                break;
            case FrameKind.Reports:
                segment.Note(frame, frame.LastSequence);
                Of(frame.Origin).AddReports(segment, frame);
                break;
            case FrameKind.Fork:
                segment.Note(frame, frame.LastSequence);
                TakeFork(segment, frame);
                break;
            case FrameKind.Waived when WaivedRange.TryRead(frame, out SequenceRange range):
                segment.Note(frame, range.Last);
                Of(frame.Origin).Waive(range);
                break;
            default:
                throw new InvalidOperationException($"Unknown frame kind {frame.Kind}.");
        }
    }

    internal Standing ToStanding(ulong journalId, OriginId own) =>
        new(journalId, own, [.. _origins.Values.Select(origin => new StandingOrigin(origin.Id, origin.Known, origin.ChainSequence, origin.Chain))]);

    /// <summary>Forgets the oldest segment's places; its sequences stay known.</summary>
    internal void DropOldest()
    {
        Segment oldest = _segments[0];
        _segments.RemoveAt(0);
        foreach (OriginIndex origin in _origins.Values)
        {
            origin.Drop(oldest);
        }
    }

    /// <summary>Forgets a segment without reports.</summary>
    internal void Forget(Segment segment) => _segments.Remove(segment);

    internal int IndexOf(ulong segment)
    {
        int at = _segments.FindIndex(known => known.Number >= segment);
        return at < 0 ? _segments.Count : at;
    }

    private OriginIndex Of(OriginId origin)
    {
        if (!_origins.TryGetValue(origin, out OriginIndex? index))
        {
            index = new OriginIndex(origin);
            _origins.Add(origin, index);
        }

        return index;
    }

    private void TakeStanding(Segment segment, in Frame frame)
    {
        if (!Standing.TryRead(frame.Payload.Span, out Standing? standing))
        {
            return;
        }

        bool isOldest = _segments.Count == 0 || _segments[0] == segment;
        foreach (StandingOrigin origin in standing!.Origins)
        {
            Of(origin.Origin).TakeStanding(origin, isOldest);
        }
    }

    private void TakeFork(Segment segment, in Frame frame)
    {
        foreach (RawReport report in frame.Reports())
        {
            var content = new ReportContent(report.Key.Sequence, Sha256Hash.Of(report.Bytes.Span));
            Of(frame.Origin).AddFork(new ForkEntry(content, segment, frame.Offset, frame.End));
        }
    }
}
