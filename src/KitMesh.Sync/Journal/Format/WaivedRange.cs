using System.Buffers.Binary;
using KitMesh.Domain.Exchange;

namespace KitMesh.Sync.Journal.Format;

/// <summary>The payload of a waived frame: the last sequence as u64; the first stands in the frame.</summary>
internal static class WaivedRange
{
    internal static byte[] Write(SequenceRange range)
    {
        byte[] payload = new byte[sizeof(ulong)];
        BinaryPrimitives.WriteUInt64LittleEndian(payload, range.Last);
        return payload;
    }

    internal static bool TryRead(in Frame frame, out SequenceRange range)
    {
        range = default;
        if (frame.Payload.Length != sizeof(ulong))
        {
            return false;
        }

        ulong last = BinaryPrimitives.ReadUInt64LittleEndian(frame.Payload.Span);
        if (!SequenceRange.IsValid(frame.FirstSequence, last))
        {
            return false;
        }

        range = new SequenceRange(frame.FirstSequence, last);
        return true;
    }
}
