using System.Buffers.Binary;
using System.Globalization;
using NodaTime;

namespace KitMesh.Footage.Clips;

// The problem: a camera that loses power leaves a file with pictures but without the index that finds them, and a perfect
// copy of it is still broken. The traps: the index ("moov") may stand at the start or the end; sizes may be 32 or 64 bits,
// or zero for "to the end"; an index can be whole and point past the end of a file that was cut; a file made of fragments
// has no sample tables. The method: walk the boxes without believing any size, then check in every track that its last
// chunk ends inside the file.
// Sources: ISO/IEC 14496-12 (boxes, mvhd, stsz, stsc, stco, co64, mvex); the tmcd sample description as in Apple's
// QuickTime File Format, "Timecode media" (layout from memory).

/// <summary>ISO base media files.</summary>
internal static class IsoMediaStructure
{
    private const int MaxBoxes = 100_000;
    private const int MaxIndex = 128 << 20;

    // Seconds from 1904-01-01, where these files count from, to 1970-01-01.
    private const long Epoch1904 = 2_082_844_800;

    public static ClipStructure Inspect(IClipBytes bytes)
    {
        (long Start, long Size)? index = null;
        bool pictures = false;
        Span<byte> head = stackalloc byte[16];
        long at = 0;
        for (int box = 0; box < MaxBoxes && at + 8 <= bytes.Length; box++)
        {
            int got = bytes.Read(at, head);
            if (!TryHead(head[..got], bytes.Length - at, out uint type, out int headSize, out long size))
            {
                return Broken("a box in it has an impossible size");
            }

            if (at + size > bytes.Length)
            {
                string what = type == ClipInspection.Tag("mdat") ? "its pictures" : "its index or other data";
                return Broken(string.Create(CultureInfo.InvariantCulture, $"{at + size - bytes.Length} bytes of {what} are missing at its end"));
            }

            if (type == ClipInspection.Tag("moov"))
            {
                index = (at + headSize, size - headSize);
            }

            pictures |= type == ClipInspection.Tag("mdat");
            at += size;
        }

        if (index is not { } moov)
        {
            return Broken("it has no index (moov): the recording was cut off before the camera could finish it");
        }

        return moov.Size > MaxIndex ? Broken("its index is larger than any recording needs") : ReadIndex(bytes, moov.Start, (int)moov.Size, pictures);
    }

    private static ClipStructure Broken(string damage) => new(ClipKind.IsoMedia, damage, null, null, null);

    private static bool TryHead(ReadOnlySpan<byte> head, long room, out uint type, out int headSize, out long size)
    {
        type = 0;
        headSize = 8;
        size = 0;
        if (head.Length < 8)
        {
            return false;
        }

        size = BinaryPrimitives.ReadUInt32BigEndian(head);
        type = BinaryPrimitives.ReadUInt32BigEndian(head[4..]);
        if (size == 1)
        {
            headSize = 16;
            ulong large = head.Length >= 16 ? BinaryPrimitives.ReadUInt64BigEndian(head[8..]) : 0;
            size = large > long.MaxValue / 2 ? 0 : (long)large;
        }
        else if (size == 0)
        {
            size = room;
        }

        return size >= headSize;
    }

    private static ClipStructure ReadIndex(IClipBytes bytes, long start, int size, bool pictures)
    {
        byte[] moov = new byte[size];
        if (bytes.Read(start, moov) != size)
        {
            return Broken("its index cannot be read");
        }

        var found = new Found(bytes);
        if (!found.Walk(moov))
        {
            return Broken("its index is garbled");
        }

        string? damage = found.Damage
            ?? (!pictures && !found.Fragmented ? "it has an index but no pictures or sound" : null)
            ?? (found.Tracks == 0 && !found.Fragmented ? "its index names no track" : null);
        return new ClipStructure(ClipKind.IsoMedia, damage, found.Recorded, found.Length, found.Timecode);
    }

    private sealed class Found(IClipBytes bytes)
    {
        private SampleTable _table = new();
        private (uint Scale, uint Frame, byte Frames)? _timecodeRate;

        public int Tracks { get; private set; }

        public bool Fragmented { get; private set; }

        public string? Damage { get; private set; }

        public Instant? Recorded { get; private set; }

        public Duration? Length { get; private set; }

        public string? Timecode { get; private set; }

        public bool Walk(ReadOnlySpan<byte> boxes, int depth = 0)
        {
            while (boxes.Length >= 8)
            {
                if (depth > 8 || !TryHead(boxes, boxes.Length, out uint type, out int headSize, out long size) || size > boxes.Length)
                {
                    return false;
                }

                if (!Take(type, boxes[headSize..(int)size], depth))
                {
                    return false;
                }

                boxes = boxes[(int)size..];
            }

            return true;
        }

        private bool Take(uint type, ReadOnlySpan<byte> body, int depth)
        {
            if (type == ClipInspection.Tag("trak"))
            {
                _table = new SampleTable();
                _timecodeRate = null;
                Tracks++;
                bool whole = Walk(body, depth + 1);
                EndTrack();
                return whole;
            }

            if (type == ClipInspection.Tag("mdia") || type == ClipInspection.Tag("minf") || type == ClipInspection.Tag("stbl"))
            {
                return Walk(body, depth + 1);
            }

            Fragmented |= type == ClipInspection.Tag("mvex");
            if (type == ClipInspection.Tag("mvhd"))
            {
                TakeMovieHead(body);
            }
            else if (type == ClipInspection.Tag("stsd") && body.Length >= 41 && ClipInspection.Is(body[12..], "tmcd"))
            {
                // Description: 4 flags, 4 count, 4 size, 4 "tmcd", 8 reserved and index, 4 reserved, 4 flags, then the rate.
                _timecodeRate = (BinaryPrimitives.ReadUInt32BigEndian(body[32..]), BinaryPrimitives.ReadUInt32BigEndian(body[36..]), body[40]);
            }
            else
            {
                _table.Take(type, body);
            }

            return true;
        }

        private void TakeMovieHead(ReadOnlySpan<byte> body)
        {
            bool wide = body.Length > 0 && body[0] == 1;
            if (body.Length < (wide ? 32 : 20))
            {
                return;
            }

            ulong created = wide ? BinaryPrimitives.ReadUInt64BigEndian(body[4..]) : BinaryPrimitives.ReadUInt32BigEndian(body[4..]);
            uint scale = BinaryPrimitives.ReadUInt32BigEndian(body[(wide ? 20 : 12)..]);
            ulong duration = wide ? BinaryPrimitives.ReadUInt64BigEndian(body[24..]) : BinaryPrimitives.ReadUInt32BigEndian(body[16..]);
            bool told = duration is > 0 and < uint.MaxValue * 1000UL && (wide || duration != uint.MaxValue);

            // A camera whose clock was never set writes 0, which is no time.
            Recorded = created is > 0 and < 8_000_000_000 ? Instant.FromUnixTimeSeconds((long)created - Epoch1904) : null;
            Length = scale > 0 && told ? Duration.FromSeconds((double)duration / scale) : null;
        }

        private void EndTrack()
        {
            if (_table.End(out long end) is { } garbled)
            {
                Damage ??= garbled;
            }
            else if (end > bytes.Length)
            {
                Damage ??= string.Create(CultureInfo.InvariantCulture, $"its index points {end - bytes.Length} bytes past the end of the file: the file was cut");
            }
            else if (_timecodeRate is { Scale: > 0, Frame: > 0, Frames: > 0 } rate && _table.FirstChunk is { } first)
            {
                Span<byte> frame = stackalloc byte[4];
                if (bytes.Read(first, frame) == 4)
                {
                    uint number = BinaryPrimitives.ReadUInt32BigEndian(frame);
                    uint seconds = number / rate.Frames;
                    Timecode ??= string.Create(CultureInfo.InvariantCulture, $"{seconds / 3600 % 24:00}:{seconds / 60 % 60:00}:{seconds % 60:00}:{number % rate.Frames:00}");
                }
            }
        }
    }
}
