using System.Buffers.Binary;
using KitMesh.Domain.Reports;
using KitMesh.Sync.Journal.Format;

namespace KitMesh.Sync.Journal;

/// <summary>What has been gathered for the next write and sync.</summary>
internal sealed class JournalGroup
{
    /// <summary>Buffers kept for the next group: a flood fills about ten, and growing one anew copies it five times.</summary>
    private const int KeptBuffers = 32;

    private readonly Stack<FrameBuffer> _buffers = new();
    private readonly List<StagedFrame> _frames = [];
    private readonly Dictionary<OriginId, StagedOrigin> _origins = [];
    private readonly HashSet<(ReportKey Key, Sha256Hash Content)> _forks = [];

    internal bool IsEmpty => _frames.Count == 0;

    /// <summary>Bytes of reports gathered.</summary>
    internal long Bytes { get; private set; }

    internal bool TryFind(ReportKey key, out Sha256Hash content)
    {
        content = default;
        return _origins.TryGetValue(key.Origin, out StagedOrigin? origin) && origin.TryFind(key.Sequence, out content);
    }

    /// <summary>The highest sequence gathered of an origin; 0 for none.</summary>
    internal ulong HighestOf(OriginId origin) => _origins.GetValueOrDefault(origin)?.Highest ?? 0;

    internal bool HasFork(ReportKey key, Sha256Hash content) => _forks.Contains((key, content));

    internal int ForksOf(OriginId origin) => _forks.Count(fork => fork.Key.Origin == origin);

    internal int ForksOf(ReportKey key) => _forks.Count(fork => fork.Key == key);

    /// <summary>Gathers neighbouring reports of one origin, none of which is known or gathered.</summary>
    internal void Add(IReadOnlyList<RawReport> reports, int from, int to, long arrival)
    {
        OriginId id = reports[from].Key.Origin;
        if (!_origins.TryGetValue(id, out StagedOrigin? origin))
        {
            _origins.Add(id, origin = new StagedOrigin());
        }

        StagedFrame? frame = _frames.Count > 0 ? _frames[^1] : null;
        for (int i = from; i < to; i++)
        {
            RawReport report = reports[i];
            if (frame is null || !Follows(frame, report.Key, arrival))
            {
                frame = Begin(FrameKind.Reports, report.Key, arrival);
                origin.Note(frame);
            }

            Put(frame, report);
            origin.Note(report);
        }
    }

    internal void AddFork(in RawReport report, Sha256Hash content, long arrival)
    {
        _forks.Add((report.Key, content));
        Put(Begin(FrameKind.Fork, report.Key, arrival), report);
    }

    internal void AddWaived(OriginId origin, Domain.Exchange.SequenceRange range, long arrival)
    {
        StagedFrame frame = Begin(FrameKind.Waived, new ReportKey(origin, range.First), arrival);
        WaivedRange.Write(range).CopyTo(frame.Payload.Extend(sizeof(ulong)));
    }

    internal void Clear()
    {
        foreach (StagedFrame frame in _frames)
        {
            if (_buffers.Count < KeptBuffers)
            {
                frame.Payload.Clear();
                _buffers.Push(frame.Payload);
            }
        }

        _frames.Clear();
        _origins.Clear();
        _forks.Clear();
        Bytes = 0;
    }

    /// <summary>Encodes everything gathered for a place in a segment.</summary>
    internal List<Frame> Encode(FrameBuffer into, Segment segment, uint commit)
    {
        var frames = new List<Frame>(_frames.Count);
        foreach (StagedFrame staged in _frames)
        {
            int before = into.Length;
            var frame = new Frame(
                staged.Kind, segment.Length + before, 0, commit, (uint)before, staged.Arrival, staged.Origin, staged.First, staged.Count, staged.Payload.Written);
            FrameCodec.Write(into, segment.Number, frame);
            frames.Add(frame with { Length = into.Length - before });
        }

        return frames;
    }

    private static bool Follows(StagedFrame last, ReportKey key, long arrival) =>
        last.First + last.Count == key.Sequence
        && last.Kind == FrameKind.Reports
        && last.Payload.Length < FrameCodec.TargetPayloadBytes
        && last.Count < JournalOptions.MaxBatchReports
        && last.Arrival == arrival
        && last.Origin == key.Origin;

    private StagedFrame Begin(FrameKind kind, ReportKey key, long arrival)
    {
        var frame = new StagedFrame(kind, key.Origin, key.Sequence, arrival, _buffers.TryPop(out FrameBuffer? kept) ? kept : new FrameBuffer());
        _frames.Add(frame);
        return frame;
    }

    private void Put(StagedFrame frame, in RawReport report)
    {
        Span<byte> room = frame.Payload.Extend(sizeof(int) + report.Bytes.Length);
        BinaryPrimitives.WriteInt32LittleEndian(room, report.Bytes.Length);
        report.Bytes.Span.CopyTo(room[sizeof(int)..]);
        frame.Count++;
        Bytes += report.Bytes.Length;
    }
}
