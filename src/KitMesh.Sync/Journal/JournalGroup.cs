using System.Buffers.Binary;
using KitMesh.Domain.Reports;
using KitMesh.Sync.Journal.Format;

namespace KitMesh.Sync.Journal;

/// <summary>What has been gathered for the next write and sync.</summary>
internal sealed class JournalGroup
{
    private readonly List<StagedFrame> _frames = [];
    private readonly Dictionary<ReportKey, Sha256Hash> _contents = [];
    private readonly HashSet<(ReportKey Key, Sha256Hash Content)> _forks = [];

    internal IReadOnlyList<StagedFrame> Frames => _frames;

    internal bool IsEmpty => _frames.Count == 0;

    /// <summary>Bytes of reports gathered.</summary>
    internal long Bytes { get; private set; }

    internal bool TryFind(ReportKey key, out Sha256Hash content) => _contents.TryGetValue(key, out content);

    internal bool HasFork(ReportKey key, Sha256Hash content) => _forks.Contains((key, content));

    internal int ForksOf(OriginId origin) => _forks.Count(fork => fork.Key.Origin == origin);

    internal void Add(in RawReport report, Sha256Hash content, long arrival)
    {
        _contents.Add(report.Key, content);
        StagedFrame? last = _frames.Count > 0 ? _frames[^1] : null;
        bool follows = last is { Kind: FrameKind.Reports }
            && last.Origin == report.Key.Origin
            && last.First + last.Count == report.Key.Sequence
            && last.Arrival == arrival
            && last.Payload.Length < FrameCodec.TargetPayloadBytes;
        Put(follows ? last! : Begin(FrameKind.Reports, report.Key, arrival), report, content);
    }

    internal void AddFork(in RawReport report, Sha256Hash content, long arrival)
    {
        _forks.Add((report.Key, content));
        Put(Begin(FrameKind.Fork, report.Key, arrival), report, content);
    }

    internal void AddWaived(OriginId origin, Domain.Exchange.SequenceRange range, long arrival)
    {
        StagedFrame frame = Begin(FrameKind.Waived, new ReportKey(origin, range.First), arrival);
        WaivedRange.Write(range).CopyTo(frame.Payload.Extend(sizeof(ulong)));
    }

    internal void Clear()
    {
        _frames.Clear();
        _contents.Clear();
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

    private StagedFrame Begin(FrameKind kind, ReportKey key, long arrival)
    {
        var frame = new StagedFrame(kind, key.Origin, key.Sequence, arrival);
        _frames.Add(frame);
        return frame;
    }

    private void Put(StagedFrame frame, in RawReport report, Sha256Hash content)
    {
        Span<byte> room = frame.Payload.Extend(sizeof(int) + report.Bytes.Length);
        BinaryPrimitives.WriteInt32LittleEndian(room, report.Bytes.Length);
        report.Bytes.Span.CopyTo(room[sizeof(int)..]);
        frame.Contents.Add(content);
        Bytes += report.Bytes.Length;
    }
}
