using KitMesh.Disk;
using KitMesh.Sync.Journal.Format;
using ZstdSharp;

namespace KitMesh.Sync.Journal;

/// <summary>The segment files of one folder: makes, reads, seals and deletes them, each step in an order that a power cut may stop anywhere.</summary>
internal sealed class SegmentFiles(IDisk disk, string folder, int compressionLevel) : IDisposable
{
    private Decompressor? _decompressor;
    private Compressor? _compressor;
    private IDiskFile? _open;
    private ulong _openNumber;
    private bool _openSealed;

    /// <summary>Unpacked blocks kept; forks and peers read here and there. At 256 KiB a block some 2 MiB.</summary>
    private const int MostBlocks = 8;

    /// <summary>The last one read stands last.</summary>
    private readonly List<(ulong Segment, long Offset, byte[] Raw)> _blocks = new(MostBlocks);

    internal IDisk Disk => disk;

    internal string PathOf(string name) => System.IO.Path.Combine(folder, name);

    /// <summary>
    /// Makes a segment durable under its name: content first, under a name that recovery throws away; then the name.
    /// </summary>
    internal DiskResult<IDiskFile> Create(ulong number, ReadOnlySpan<byte> firstFrame)
    {
        string path = PathOf(SegmentName.Raw(number));
        DiskResult<IDiskFile> started = StartUnfinished(path);
        if (started.Failed(out DiskFault? fault, out IDiskFile? file))
        {
            return fault;
        }

        if (file.Write(0, firstFrame).Failed(out fault) || file.Sync().Failed(out fault) || Finish(path).Failed(out fault))
        {
            file.Dispose();
            return fault;
        }

        return new DiskResult<IDiskFile>(file);
    }

    /// <summary>Packs a raw segment, its damage included, and deletes the raw file once the packed one is durable.</summary>
    internal DiskResult Seal(Segment segment)
    {
        DiskResult<byte[]> read = Read(segment, 0, segment.Length);
        if (read.Failed(out DiskFault? fault, out byte[]? raw))
        {
            return fault;
        }

        string path = PathOf(SegmentName.Sealed(segment.Number));
        if (StartUnfinished(path).Failed(out fault, out IDiskFile? file))
        {
            return fault;
        }

        List<SealedBlock> blocks;
        using (file)
        {
            if (WriteSealed(file, segment.Number, raw, out blocks).Failed(out fault) || file.Sync().Failed(out fault))
            {
                return fault;
            }
        }

        if (Finish(path).Failed(out fault))
        {
            return fault;
        }

        string rawPath = segment.Path;
        CloseCached(segment.Number);
        segment.Path = path;
        segment.Blocks = blocks;
        // Should the raw file stay behind, recovery prefers the sealed one and deletes it then.
        _ = disk.Delete(rawPath);
        return DiskResult.Done;
    }

    /// <summary>Deletes a segment. The name's end is made durable at once, so that segments always leave oldest first.</summary>
    internal DiskResult Delete(Segment segment)
    {
        CloseCached(segment.Number);
        // A sealing whose last step failed leaves a file under the other name; it must not come back as the oldest.
        foreach (string name in (string[])[SegmentName.Sealed(segment.Number), SegmentName.Raw(segment.Number)])
        {
            if (disk.Delete(PathOf(name)).Failed(out DiskFault? fault) && fault.Kind != DiskFaultKind.NotFound)
            {
                return fault;
            }
        }

        return disk.SyncDirectory(folder);
    }

    /// <summary>Uncompressed bytes of a segment; a stretch that is not what was written is an <see cref="DiskFaultKind.InputOutput"/>.</summary>
    internal DiskResult<byte[]> Read(Segment segment, long from, long to)
    {
        byte[] bytes = new byte[to - from];
        if (segment.Blocks is null)
        {
            if (OpenCached(segment).Failed(out DiskFault? fault, out IDiskFile? file) || file.Read(from, bytes).Failed(out fault, out int read))
            {
                return fault;
            }

            return read == bytes.Length ? bytes : Damaged(segment, "the file is shorter than it was");
        }

        long at = from;
        while (at < to)
        {
            if (UnpackAt(segment, at, out long blockOffset).Failed(out DiskFault? fault, out byte[]? block))
            {
                return fault;
            }

            int skip = (int)(at - blockOffset);
            int take = (int)Math.Min(block.Length - skip, to - at);
            block.AsSpan(skip, take).CopyTo(bytes.AsSpan((int)(at - from)));
            at += take;
        }

        return bytes;
    }

    /// <summary>Where a read that begins at an offset should end: with its block, or with the segment.</summary>
    internal static long ChunkEnd(Segment segment, long from)
    {
        if (segment.Blocks is null)
        {
            return segment.Length;
        }

        foreach (SealedBlock block in segment.Blocks)
        {
            if (block.RawEnd > from)
            {
                return block.RawOffset > from ? block.RawOffset : block.RawEnd;
            }
        }

        return segment.Length;
    }

    public void Dispose()
    {
        _open?.Dispose();
        _open = null;
        _decompressor?.Dispose();
        _compressor?.Dispose();
    }

    private static DiskFault Damaged(Segment segment, string detail) =>
        new(DiskFaultKind.InputOutput, "read", segment.Path, detail);

    private DiskResult<IDiskFile> StartUnfinished(string path)
    {
        string unfinished = path + SegmentName.UnfinishedEnding;
        DiskResult deleted = disk.Delete(unfinished);
        return deleted.Failed(out DiskFault? fault) && fault.Kind != DiskFaultKind.NotFound ? fault : disk.Open(unfinished, DiskOpen.New);
    }

    private DiskResult Finish(string path)
    {
        DiskResult moved = disk.Move(path + SegmentName.UnfinishedEnding, path, replace: true);
        return moved.Failed(out DiskFault? fault) ? fault : disk.SyncDirectory(folder);
    }

    private DiskResult WriteSealed(IDiskFile file, ulong number, byte[] raw, out List<SealedBlock> blocks)
    {
        blocks = [];
        _compressor ??= new Compressor(compressionLevel);
        long at = SealedCodec.FileHeaderBytes;
        DiskResult written = file.Write(0, SealedCodec.WriteHeader(number, raw.Length));
        foreach ((int start, int length) in Cut(SegmentWalk.Split(raw, number, 0, out _)))
        {
            if (written.Failed(out _))
            {
                break;
            }

            byte[] block = SealedCodec.WriteBlock(_compressor, number, start, raw.AsSpan(start, length));
            written = file.Write(at, block);
            int packed = block.Length - SealedCodec.BlockHeaderBytes - SealedCodec.CheckBytes;
            blocks.Add(new SealedBlock(start, length, at + SealedCodec.BlockHeaderBytes, packed));
            at += block.Length;
        }

        return written;
    }

    /// <summary>Gathers pieces into stretches of about <see cref="SealedCodec.TargetBlockBytes"/>; a long piece of damage is split.</summary>
    private static IEnumerable<(int Start, int Length)> Cut(List<SegmentPiece> pieces)
    {
        int start = 0;
        int end = 0;
        foreach (SegmentPiece piece in pieces)
        {
            end = (int)piece.End;
            while (end - start >= SealedCodec.TargetBlockBytes)
            {
                int length = piece.Frame is null ? Math.Min(end - start, SealedCodec.MaxBlockBytes) : end - start;
                yield return (start, length);
                start += length;
            }
        }

        if (end > start)
        {
            yield return (start, end - start);
        }
    }

    private DiskResult<byte[]> UnpackAt(Segment segment, long at, out long blockOffset)
    {
        for (int i = _blocks.Count - 1; i >= 0; i--)
        {
            (ulong Segment, long Offset, byte[] Raw) kept = _blocks[i];
            if (kept.Segment == segment.Number && at >= kept.Offset && at < kept.Offset + kept.Raw.Length)
            {
                _blocks.RemoveAt(i);
                _blocks.Add(kept);
                blockOffset = kept.Offset;
                return kept.Raw;
            }
        }

        blockOffset = 0;
        SealedBlock found = segment.Blocks!.FirstOrDefault(block => at >= block.RawOffset && at < block.RawEnd);
        if (found.RawLength == 0)
        {
            return Damaged(segment, "a compressed block is damaged");
        }

        byte[] packed = new byte[SealedCodec.BlockHeaderBytes + found.PackedLength + SealedCodec.CheckBytes];
        if (OpenCached(segment).Failed(out DiskFault? fault, out IDiskFile? file)
            || file.Read(found.FileOffset - SealedCodec.BlockHeaderBytes, packed).Failed(out fault, out int read))
        {
            return fault;
        }

        byte[]? raw = read == packed.Length ? SealedCodec.Unpack(_decompressor ??= new Decompressor(), packed, segment.Number, found) : null;
        if (raw is null)
        {
            return Damaged(segment, "a compressed block is damaged");
        }

        if (_blocks.Count == MostBlocks)
        {
            _blocks.RemoveAt(0);
        }

        blockOffset = found.RawOffset;
        _blocks.Add((segment.Number, found.RawOffset, raw));
        return raw;
    }

    private DiskResult<IDiskFile> OpenCached(Segment segment)
    {
        if (_open is not null && _openNumber == segment.Number && _openSealed == segment.IsSealed)
        {
            return new DiskResult<IDiskFile>(_open);
        }

        _open?.Dispose();
        _open = null;
        DiskResult<IDiskFile> opened = disk.Open(segment.Path, DiskOpen.ToRead);
        if (opened.Failed(out DiskFault? fault, out IDiskFile? file))
        {
            return fault;
        }

        _open = file;
        _openNumber = segment.Number;
        _openSealed = segment.IsSealed;
        return opened;
    }

    private void CloseCached(ulong number)
    {
        if (_openNumber == number)
        {
            _open?.Dispose();
            _open = null;
        }

        _blocks.RemoveAll(kept => kept.Segment == number);
    }
}
