using System.Buffers.Binary;
using System.Security.Cryptography;
using KitMesh.Disk;
using KitMesh.Domain.Reports;
using KitMesh.Sync.Journal.Format;

namespace KitMesh.Sync.Journal;

/// <summary>The end of the journal that takes writes: an active segment, or a doubtful one that must be written anew first.</summary>
internal sealed class JournalEnd : IDisposable
{
    private readonly JournalOptions _options;
    private readonly SegmentFiles _files;
    private readonly JournalIndex _index;
    private readonly JournalReader _reader;
    private readonly FrameBuffer _encoded = new();
    private List<Frame> _frames = [];
    private Segment? _active;
    private IDiskFile? _file;
    private Segment? _doubtful;
    private IReadOnlyList<Frame>? _doubtfulFrames;
    private bool _isDoubtfulBlank;
    private readonly ulong _spareEpoch;
    private readonly bool _isDamaged;
    private ulong _spareCount;
    private ulong _lastNumber;
    private uint _commit;

    internal JournalEnd(JournalOptions options, SegmentFiles files, JournalIndex index, JournalReader reader, JournalStart start)
    {
        _options = options;
        _files = files;
        _index = index;
        _reader = reader;
        JournalId = start.JournalId;
        Own = start.Own;
        _lastNumber = start.LastNumber;
        _doubtful = start.Doubtful;
        _doubtfulFrames = start.DoubtfulFrames;
        _isDoubtfulBlank = start.IsDoubtfulBlank;
        _spareEpoch = start.SpareEpoch;
        _isDamaged = start.Recovery.Damage.Count > 0 || start.Recovery.Missing.Count > 0;
        TakeOldestStanding();
        RestartChains();
    }

    internal ulong JournalId { get; }

    internal OriginId Own { get; private set; }

    /// <summary>Whether a segment is not for housekeeping to touch.</summary>
    internal bool Holds(Segment segment) => segment == _active || segment == _doubtful;

    /// <summary>Sees to it that the next write has a sound segment with room.</summary>
    internal DiskResult MakeReady()
    {
        bool isOwnLost = _index.Find(Own)?.HasLost == true;
        if (_active is not null && _active.Length < _options.SegmentBytes && !isOwnLost)
        {
            return DiskResult.Done;
        }

        if (_doubtful is not null && !_isDoubtfulBlank && Settle(_doubtful).Failed(out DiskFault? fault))
        {
            return fault;
        }

        return Begin(isOwnLost || _index.Find(Own)?.HasLost == true ? new OriginId(Own.Node, NextSpareEpoch()) : Own);
    }

    internal DiskResult OpenEpoch(ulong epoch)
    {
        if (MakeReady().Failed(out DiskFault? fault))
        {
            return fault;
        }

        return Begin(new OriginId(Own.Node, epoch));
    }

    internal DiskResult Write(JournalGroup group)
    {
        _encoded.Clear();
        _frames = group.Encode(_encoded, _active!, ++_commit);
        return _file!.Write(_active!.Length, _encoded.Written.Span);
    }

    internal DiskResult Sync() => _file!.Sync();

    /// <summary>Makes the frames of the last write known; they are durable.</summary>
    internal void TakeIn()
    {
        var touched = new HashSet<OriginIndex>();
        foreach (Frame frame in _frames)
        {
            _active!.Length = frame.End;
            _index.Take(_active, frame);
            OriginIndex origin = _index.Find(frame.Origin)!;
            if (frame.Kind == FrameKind.Reports)
            {
                Advance(origin, frame);
            }

            touched.Add(origin);
        }

        // Once for all frames: each fork sets the chain back, and many of them come together after a disk was put back.
        foreach (OriginIndex origin in touched)
        {
            _reader.CatchUp(origin);
        }
    }

    /// <summary>
    /// Gives the active segment up after a failed write or sync: what was not durable in it stays unknown. It is never
    /// called blank, for the bytes that failed may still be seen in it and must not count after a restart.
    /// </summary>
    internal void GiveUp()
    {
        _file?.Dispose();
        _file = null;
        _doubtful = _active;
        _doubtfulFrames = null;
        _isDoubtfulBlank = false;
        _active = null;
    }

    public void Dispose()
    {
        _file?.Dispose();
        _file = null;
    }

    private static void Advance(OriginIndex origin, in Frame frame)
    {
        if (frame.FirstSequence != origin.ChainSequence + 1)
        {
            return;
        }

        foreach (RawReport report in frame.Reports())
        {
            _ = origin.TryAdvance(report.Key.Sequence, report.Bytes.Span);
        }
    }

    /// <summary>Writes a doubtful segment anew and syncs it there; only then does what it holds count.</summary>
    private DiskResult Settle(Segment segment)
    {
        if (!segment.IsSealed && _files.Seal(segment).Failed(out DiskFault? fault))
        {
            return fault;
        }

        if (_doubtfulFrames is not null)
        {
            _index.Add(segment);
            foreach (Frame frame in _doubtfulFrames)
            {
                _index.Take(segment, frame);
            }

            _doubtfulFrames = null;
            RestartChains();
        }

        _doubtful = null;
        return DiskResult.Done;
    }

    private DiskResult Begin(OriginId own)
    {
        ulong number = _lastNumber + 1;
        byte[] standing = _index.ToStanding(JournalId, own).Write();
        var frame = new Frame(FrameKind.Standing, 0, 0, 0, 0, 0, default, 0, 0, standing);
        var bytes = new FrameBuffer();
        FrameCodec.Write(bytes, number, frame);
        DiskResult<IDiskFile> created = _files.Create(number, bytes.Written.Span);
        if (created.Failed(out DiskFault? fault, out IDiskFile? file))
        {
            return fault;
        }

        Segment? replaced = _doubtful ?? (_commit == 0 ? _active : null);
        _file?.Dispose();
        _file = file;
        _active = new Segment(number, _files.PathOf(SegmentName.Raw(number))) { Length = bytes.Length };
        _index.Add(_active);
        _lastNumber = number;
        _commit = 0;
        Own = own;
        _doubtful = null;
        if (_doubtfulFrames is not null)
        {
            _doubtfulFrames = null;
            RestartChains();
        }

        Remove(replaced);
        return DiskResult.Done;
    }

    /// <summary>
    /// An epoch for the case that this node's own reports turn out damaged while it runs: what is lost may have been sent
    /// before, so its sequences may not be given out again. As random as what the opening was given.
    /// </summary>
    private ulong NextSpareEpoch()
    {
        Span<byte> text = stackalloc byte[2 * sizeof(ulong)];
        Span<byte> hash = stackalloc byte[Sha256Hash.Size];
        BinaryPrimitives.WriteUInt64BigEndian(text, _spareEpoch);
        BinaryPrimitives.WriteUInt64BigEndian(text[sizeof(ulong)..], ++_spareCount);
        SHA256.HashData(text, hash);
        return BinaryPrimitives.ReadUInt64BigEndian(hash);
    }

    /// <summary>Deletes a segment to which nothing was written; the new one says all it said. Left behind, it does no harm.</summary>
    private void Remove(Segment? replaced)
    {
        if (replaced is not null)
        {
            _ = _files.Delete(replaced);
            _index.Forget(replaced);
        }
    }

    /// <summary>A segment's first frame was durable before the segment got its name, so it counts even while the rest is in doubt.</summary>
    private void TakeOldestStanding()
    {
        if (_index.Segments.Count == 0 && _doubtful is not null && _doubtfulFrames is [{ Kind: FrameKind.Standing } standing, ..])
        {
            _index.Take(_doubtful, standing);
        }
    }

    private void RestartChains()
    {
        foreach (OriginIndex origin in _index.Origins)
        {
            if (_isDamaged)
            {
                // A newer segment's beginning may tell a value that stands for what is not here any more.
                origin.ForgetMarks();
            }

            if (_doubtfulFrames is null)
            {
                origin.PromoteForks();
            }

            origin.RestartChain();
            _reader.CatchUp(origin);
        }
    }
}
