using System.Buffers.Binary;
using System.IO.Hashing;
using System.Text;
using KitMesh.Domain.Exchange;
using KitMesh.Domain.Reports;

namespace KitMesh.Sync.Journal.Format;

/// <summary>Writes and reads frames. The grammar is in docs/journal-format.md; this is it, in short.</summary>
/// <remarks>
/// <code>
/// segment  = standing-frame *frame
/// frame    = "KMJF" version:u16 kind:u8 nodeLength:u8 length:u32 commit:u32 back:u32 arrival:i64
///            epoch:u64 first:u64 count:u32 node payload crc:u64          (little-endian)
/// reports  = count x (length:u32 bytes)
/// crc      = CRC-64/ECMA-182 over segment:u64 offset:u64 and the frame without its last 8 bytes
/// </code>
/// <para>
/// Problem: after a power cut the end of the newest segment can be anything, and years later a bit in the middle can
/// have turned. Trap 1: a report may contain bytes that look like a frame; the segment number and the offset are
/// therefore part of the check, so that only bytes written at this place as a frame pass. Trap 2: a frame of a newer
/// version must not be taken for a torn one and cut off; magic, version, length and check therefore keep their places
/// in every version, and a sound frame of an unknown version stops the opening instead. Trap 3: a CRC that starts at
/// zero does not see leading zeros; the magic, which is not zero, stands first.
/// </para>
/// Source of the check: ECMA-182 (1992), annex B; check value of "123456789" is 6C40DF5F0B497347.
/// </remarks>
internal static class FrameCodec
{
    internal const ushort Version = 1;
    internal const int HeaderBytes = 48;
    internal const int CheckBytes = 8;
    internal const int MinFrameBytes = HeaderBytes + CheckBytes;

    /// <summary>No frame is longer; a length past it is damage, not a reason to reserve memory.</summary>
    internal const int MaxFrameBytes = 16 << 20;

    /// <summary>A frame of reports is closed once its payload reaches this.</summary>
    internal const int TargetPayloadBytes = 128 << 10;

    internal static ReadOnlySpan<byte> Magic => "KMJF"u8;

    /// <summary>Writes a frame at the end of a buffer.</summary>
    internal static void Write(FrameBuffer into, ulong segment, in Frame frame)
    {
        string node = frame.Origin.Node.Value;
        int length = HeaderBytes + node.Length + frame.Payload.Length + CheckBytes;
        ArgumentOutOfRangeException.ThrowIfGreaterThan(length, MaxFrameBytes);
        Span<byte> bytes = into.Extend(length);
        Magic.CopyTo(bytes);
        BinaryPrimitives.WriteUInt16LittleEndian(bytes[4..], Version);
        bytes[6] = (byte)frame.Kind;
        bytes[7] = (byte)node.Length;
        BinaryPrimitives.WriteInt32LittleEndian(bytes[8..], length);
        BinaryPrimitives.WriteUInt32LittleEndian(bytes[12..], frame.Commit);
        BinaryPrimitives.WriteUInt32LittleEndian(bytes[16..], frame.Back);
        BinaryPrimitives.WriteInt64LittleEndian(bytes[20..], frame.ArrivalUnixNanoseconds);
        BinaryPrimitives.WriteUInt64LittleEndian(bytes[28..], frame.Origin.Epoch);
        BinaryPrimitives.WriteUInt64LittleEndian(bytes[36..], frame.FirstSequence);
        BinaryPrimitives.WriteUInt32LittleEndian(bytes[44..], frame.Count);
        Encoding.ASCII.GetBytes(node, bytes[HeaderBytes..]);
        frame.Payload.Span.CopyTo(bytes[(HeaderBytes + node.Length)..]);
        ulong check = Check(segment, frame.Offset, bytes[..^CheckBytes]);
        BinaryPrimitives.WriteUInt64LittleEndian(bytes[^CheckBytes..], check);
    }

    /// <summary>Reads the frame that should begin at the start of some bytes.</summary>
    /// <param name="bytes">The bytes of the segment from <paramref name="offset"/> on.</param>
    /// <param name="segment">The segment's number.</param>
    /// <param name="offset">Where they stand in it.</param>
    /// <param name="frame">The frame, when it is sound.</param>
    internal static FrameVerdict Read(ReadOnlyMemory<byte> bytes, ulong segment, long offset, out Frame frame)
    {
        frame = default;
        ReadOnlySpan<byte> span = bytes.Span;
        if (span.Length < MinFrameBytes || !span.StartsWith(Magic))
        {
            return FrameVerdict.Broken;
        }

        int length = BinaryPrimitives.ReadInt32LittleEndian(span[8..]);
        if (length is < MinFrameBytes or > MaxFrameBytes || length > span.Length)
        {
            return FrameVerdict.Broken;
        }

        span = span[..length];
        if (BinaryPrimitives.ReadUInt64LittleEndian(span[^CheckBytes..]) != Check(segment, offset, span[..^CheckBytes]))
        {
            return FrameVerdict.Broken;
        }

        if (BinaryPrimitives.ReadUInt16LittleEndian(span[4..]) != Version || span[6] is < (byte)FrameKind.Standing or > (byte)FrameKind.Waived)
        {
            return FrameVerdict.Newer;
        }

        return TryParse(bytes[..length], offset, out frame) ? FrameVerdict.Sound : FrameVerdict.Broken;
    }

    /// <summary>The length a frame claims, or 0 when no frame begins here. Nothing else of it has been checked.</summary>
    internal static int ClaimedLength(ReadOnlySpan<byte> bytes)
    {
        if (bytes.Length < HeaderBytes || !bytes.StartsWith(Magic))
        {
            return 0;
        }

        int length = BinaryPrimitives.ReadInt32LittleEndian(bytes[8..]);
        return length is < MinFrameBytes or > MaxFrameBytes ? 0 : length;
    }

    private static ulong Check(ulong segment, long offset, ReadOnlySpan<byte> body)
    {
        Span<byte> place = stackalloc byte[16];
        BinaryPrimitives.WriteUInt64LittleEndian(place, segment);
        BinaryPrimitives.WriteInt64LittleEndian(place[8..], offset);
        var crc = new Crc64();
        crc.Append(place);
        crc.Append(body);
        return crc.GetCurrentHashAsUInt64();
    }

    /// <summary>A frame whose check is good was written by somebody's code: what does not parse here was written wrong.</summary>
    private static bool TryParse(ReadOnlyMemory<byte> bytes, long offset, out Frame frame)
    {
        ReadOnlySpan<byte> span = bytes.Span;
        var kind = (FrameKind)span[6];
        int nodeLength = span[7];
        frame = default;
        if (HeaderBytes + nodeLength + CheckBytes > span.Length)
        {
            return false;
        }

        NodeId node = default;
        if (kind != FrameKind.Standing && !NodeId.TryParse(Encoding.ASCII.GetString(span.Slice(HeaderBytes, nodeLength)), out node))
        {
            return false;
        }

        frame = new Frame(
            kind,
            offset,
            span.Length,
            BinaryPrimitives.ReadUInt32LittleEndian(span[12..]),
            BinaryPrimitives.ReadUInt32LittleEndian(span[16..]),
            BinaryPrimitives.ReadInt64LittleEndian(span[20..]),
            new OriginId(node, BinaryPrimitives.ReadUInt64LittleEndian(span[28..])),
            BinaryPrimitives.ReadUInt64LittleEndian(span[36..]),
            BinaryPrimitives.ReadUInt32LittleEndian(span[44..]),
            bytes[(HeaderBytes + nodeLength)..^CheckBytes]);
        return kind switch
        {
            FrameKind.Reports or FrameKind.Fork => HoldsReports(frame),
            FrameKind.Waived => WaivedRange.TryRead(frame, out _),
            FrameKind.Standing => frame.Offset == 0,
            _ => false,
        };
    }

    private static bool HoldsReports(in Frame frame)
    {
        if (frame.Count == 0 || !SequenceRange.IsValid(frame.FirstSequence, frame.LastSequence))
        {
            return false;
        }

        ReadOnlySpan<byte> rest = frame.Payload.Span;
        for (uint i = 0; i < frame.Count; i++)
        {
            if (rest.Length < sizeof(int))
            {
                return false;
            }

            int length = BinaryPrimitives.ReadInt32LittleEndian(rest);
            if (length < 0 || length > rest.Length - sizeof(int))
            {
                return false;
            }

            rest = rest[(sizeof(int) + length)..];
        }

        return rest.IsEmpty;
    }
}
