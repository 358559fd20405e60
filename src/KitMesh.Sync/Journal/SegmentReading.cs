using KitMesh.Disk;
using KitMesh.Sync.Journal.Format;
using ZstdSharp;

namespace KitMesh.Sync.Journal;

/// <summary>Reads segment files whole, oldest first, into an index.</summary>
internal sealed class SegmentReading(IDisk disk, JournalIndex index) : IDisposable
{
    private Decompressor? _decompressor;

    internal List<JournalDamage> Damage { get; } = [];

    /// <summary>Why opening must stop; null while it may go on.</summary>
    internal JournalOpening? Stop { get; private set; }

    /// <summary>The beginning of the newest segment whose beginning is sound.</summary>
    internal Standing? NewestStanding { get; private set; }

    /// <summary>Whether something broke at or after <see cref="NewestStanding"/>, where no later beginning tells what is lost.</summary>
    internal bool IsNewestDamaged { get; private set; }

    internal Segment? Doubtful { get; private set; }

    internal List<Frame> DoubtfulFrames { get; } = [];

    /// <summary>Whether nothing was ever written to the doubtful segment after its beginning.</summary>
    internal bool IsDoubtfulBlank { get; private set; }

    internal long TailCut { get; private set; }

    public void Dispose() => _decompressor?.Dispose();

    /// <summary>Reads a sealed segment.</summary>
    /// <param name="number">Its number.</param>
    /// <param name="path">Its file.</param>
    /// <param name="mayFail">Whether a raw file of the same number is there to be read instead of a damaged one.</param>
    internal bool TryReadSealed(ulong number, string path, bool mayFail)
    {
        if (ReadWhole(number, path) is not { } file)
        {
            return true;
        }

        long rawLength = SealedCodec.ReadHeader(file, number);
        if (rawLength == -2)
        {
            Stop = new JournalOpening.Newer(path, 0);
            return true;
        }

        List<SealedBlock> blocks = SealedCodec.FindBlocks(file, number);
        rawLength = rawLength >= 0 ? rawLength : blocks.Count > 0 ? blocks[^1].RawEnd : 0;
        if (mayFail && blocks.Sum(block => (long)block.RawLength) != rawLength)
        {
            return false;
        }

        var segment = new Segment(number, path) { Blocks = blocks, Length = rawLength };
        index.Add(segment);
        long at = 0;
        foreach (SealedBlock block in blocks)
        {
            NoteDamage(segment, at, block.RawOffset - at, "compressed blocks are damaged");
            ReadOnlySpan<byte> whole = file.AsSpan((int)block.FileOffset - SealedCodec.BlockHeaderBytes);
            byte[]? raw = SealedCodec.Unpack(_decompressor ??= new Decompressor(), whole, number, block);
            if (raw is null)
            {
                NoteDamage(segment, block.RawOffset, block.RawLength, "a compressed block does not unpack");
            }
            else
            {
                TakeAll(segment, SegmentWalk.Split(raw, number, block.RawOffset, out long newerAt), newerAt);
            }

            at = block.RawEnd;
        }

        NoteDamage(segment, at, rawLength - at, "compressed blocks are damaged");
        return true;
    }

    internal void ReadRaw(ulong number, string path, bool isNewest)
    {
        if (ReadWhole(number, path) is not { } bytes)
        {
            return;
        }

        var segment = new Segment(number, path) { Length = bytes.Length };
        List<SegmentPiece> pieces = SegmentWalk.Split(bytes, number, 0, out long newerAt);
        if (!isNewest || newerAt >= 0)
        {
            index.Add(segment);
            TakeAll(segment, pieces, newerAt);
            return;
        }

        segment.Length = SegmentTail.SoundLength(pieces);
        TailCut = bytes.Length - segment.Length;
        foreach (SegmentPiece piece in pieces.Where(piece => piece.End <= segment.Length))
        {
            if (piece.Frame is { } frame)
            {
                NoteStanding(frame);
                DoubtfulFrames.Add(frame);
            }
            else
            {
                NoteDamage(segment, piece.Offset, piece.Length, "frames are not what was written");
            }
        }

        Doubtful = segment.Length > 0 ? segment : null;
        IsDoubtfulBlank = DoubtfulFrames is [{ Kind: FrameKind.Standing } only] && only.End == bytes.Length;
        if (Doubtful is null && bytes.Length > 0)
        {
            NoteDamage(segment, 0, bytes.Length, "no sound frame is in it");
        }
    }

    private void TakeAll(Segment segment, List<SegmentPiece> pieces, long newerAt)
    {
        if (newerAt >= 0)
        {
            Stop = new JournalOpening.Newer(segment.Path, newerAt);
        }

        foreach (SegmentPiece piece in pieces)
        {
            if (piece.Frame is { } frame)
            {
                NoteStanding(frame);
                index.Take(segment, frame);
            }
            else
            {
                NoteDamage(segment, piece.Offset, piece.Length, "frames are not what was written");
            }
        }
    }

    private void NoteStanding(in Frame frame)
    {
        if (frame.Kind == FrameKind.Standing && Standing.TryRead(frame.Payload.Span, out Standing? standing))
        {
            NewestStanding = standing;
            IsNewestDamaged = false;
        }
    }

    private void NoteDamage(Segment segment, long offset, long length, string detail)
    {
        if (length > 0)
        {
            Damage.Add(new JournalDamage(segment.Path, offset, length, detail, DiskFaultKind.InputOutput));
            IsNewestDamaged = true;
        }
    }

    /// <summary>The bytes of a file; at most a segment, which is bounded. An unreadable file is damage, a disk that is gone stops the opening.</summary>
    private byte[]? ReadWhole(ulong number, string path)
    {
        DiskResult<IDiskFile> opened = disk.Open(path, DiskOpen.ToRead);
        if (opened.Failed(out DiskFault? fault, out IDiskFile? file))
        {
            Stop = new JournalOpening.Unusable(fault);
            return null;
        }

        using (file)
        {
            if (file.Length().Failed(out fault, out long length))
            {
                Stop = new JournalOpening.Unusable(fault);
                return null;
            }

            byte[] bytes = new byte[length];
            if (!file.Read(0, bytes).Failed(out fault, out int read))
            {
                return read == length ? bytes : bytes[..read];
            }

            if (fault.Kind != DiskFaultKind.InputOutput)
            {
                Stop = new JournalOpening.Unusable(fault);
                return null;
            }

            // It keeps its place: what a later segment says was known before it is not to be believed in its stead.
            index.Add(new Segment(number, path));
            Damage.Add(new JournalDamage(path, 0, length, fault.ToString(), fault.Kind));
            IsNewestDamaged = true;
            return null;
        }
    }
}
