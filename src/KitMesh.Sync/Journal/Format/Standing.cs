using System.Buffers.Binary;
using System.Text;
using KitMesh.Domain.Exchange;
using KitMesh.Domain.Reports;

namespace KitMesh.Sync.Journal.Format;

/// <summary>What was known of every origin when a segment began.</summary>
/// <param name="JournalId">The journal's random number.</param>
/// <param name="Own">The origin this node writes from here on.</param>
/// <param name="Origins">Every origin heard of.</param>
/// <remarks>
/// It makes each segment the beginning of a journal: the segments before it can be dropped without a second file that
/// says so, sequences and chains go on, and a segment lost from the middle is noticed.
/// <code>
/// standing = journalId:u64 origin originCount:u32 *( origin rangeCount:u32 *( first:u64 last:u64 ) chainSequence:u64 chain:32 )
/// origin   = nodeLength:u8 node epoch:u64
/// </code>
/// </remarks>
internal sealed record Standing(ulong JournalId, OriginId Own, IReadOnlyList<StandingOrigin> Origins)
{
    internal byte[] Write()
    {
        var buffer = new FrameBuffer();
        BinaryPrimitives.WriteUInt64LittleEndian(buffer.Extend(8), JournalId);
        WriteOrigin(buffer, Own);
        BinaryPrimitives.WriteInt32LittleEndian(buffer.Extend(4), Origins.Count);
        foreach (StandingOrigin known in Origins)
        {
            WriteOrigin(buffer, known.Origin);
            BinaryPrimitives.WriteInt32LittleEndian(buffer.Extend(4), known.Ranges.Count);
            foreach (SequenceRange range in known.Ranges)
            {
                BinaryPrimitives.WriteUInt64LittleEndian(buffer.Extend(8), range.First);
                BinaryPrimitives.WriteUInt64LittleEndian(buffer.Extend(8), range.Last);
            }

            BinaryPrimitives.WriteUInt64LittleEndian(buffer.Extend(8), known.ChainSequence);
            known.Chain.CopyTo(buffer.Extend(Sha256Hash.Size));
        }

        return buffer.Written.ToArray();
    }

    internal static bool TryRead(ReadOnlySpan<byte> payload, out Standing? standing)
    {
        standing = null;
        var reader = new Cursor(payload);
        if (!reader.TryUInt64(out ulong id) || !reader.TryOrigin(out OriginId own) || !reader.TryCount(out int count))
        {
            return false;
        }

        var origins = new List<StandingOrigin>();
        for (int i = 0; i < count; i++)
        {
            if (!reader.TryOrigin(out OriginId origin) || !reader.TryRanges(out SequenceRanges ranges)
                || !reader.TryUInt64(out ulong chainSequence) || !reader.TryHash(out Sha256Hash chain))
            {
                return false;
            }

            origins.Add(new StandingOrigin(origin, ranges, chainSequence, chain));
        }

        standing = new Standing(id, own, origins);
        return reader.AtEnd;
    }

    private static void WriteOrigin(FrameBuffer buffer, OriginId origin)
    {
        string node = origin.Node.Value;
        Span<byte> bytes = buffer.Extend(1 + node.Length + 8);
        bytes[0] = (byte)node.Length;
        Encoding.ASCII.GetBytes(node, bytes[1..]);
        BinaryPrimitives.WriteUInt64LittleEndian(bytes[(1 + node.Length)..], origin.Epoch);
    }

    private ref struct Cursor(ReadOnlySpan<byte> bytes)
    {
        private ReadOnlySpan<byte> _rest = bytes;

        internal readonly bool AtEnd => _rest.IsEmpty;

        internal bool TryUInt64(out ulong value)
        {
            bool there = BinaryPrimitives.TryReadUInt64LittleEndian(_rest, out value);
            _rest = there ? _rest[8..] : default;
            return there;
        }

        internal bool TryCount(out int value)
        {
            bool there = BinaryPrimitives.TryReadInt32LittleEndian(_rest, out value) && value >= 0;
            _rest = there ? _rest[4..] : default;
            return there;
        }

        internal bool TryOrigin(out OriginId origin)
        {
            origin = default;
            if (_rest.IsEmpty || _rest.Length < 1 + _rest[0] || !NodeId.TryParse(Encoding.ASCII.GetString(_rest.Slice(1, _rest[0])), out NodeId node))
            {
                return false;
            }

            _rest = _rest[(1 + _rest[0])..];
            bool there = TryUInt64(out ulong epoch);
            origin = new OriginId(node, epoch);
            return there;
        }

        internal bool TryRanges(out SequenceRanges ranges)
        {
            ranges = SequenceRanges.Empty;
            if (!TryCount(out int count))
            {
                return false;
            }

            var found = new List<SequenceRange>();
            for (int i = 0; i < count; i++)
            {
                if (!TryUInt64(out ulong first) || !TryUInt64(out ulong last) || !SequenceRange.IsValid(first, last))
                {
                    return false;
                }

                found.Add(new SequenceRange(first, last));
            }

            ranges = SequenceRanges.FromUnordered(found);
            return true;
        }

        internal bool TryHash(out Sha256Hash hash)
        {
            hash = default;
            if (_rest.Length < Sha256Hash.Size)
            {
                return false;
            }

            hash = Sha256Hash.Read(_rest[..Sha256Hash.Size]);
            _rest = _rest[Sha256Hash.Size..];
            return true;
        }
    }
}
