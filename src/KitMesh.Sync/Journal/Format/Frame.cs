using System.Buffers.Binary;
using KitMesh.Domain.Reports;

namespace KitMesh.Sync.Journal.Format;

/// <summary>One decoded frame; the payload is a slice of the bytes it was read from.</summary>
/// <param name="Kind">What it carries.</param>
/// <param name="Offset">Where it stands in its segment.</param>
/// <param name="Length">Its whole length.</param>
/// <param name="Commit">The group commit it was written in, counted inside the segment.</param>
/// <param name="Back">Bytes from the first frame of that commit to this one.</param>
/// <param name="ArrivalUnixNanoseconds">When it arrived, by this node's clock.</param>
/// <param name="Origin">The origin of its reports; default in a standing frame.</param>
/// <param name="FirstSequence">The sequence of its first report.</param>
/// <param name="Count">How many reports.</param>
/// <param name="Payload">What is inside.</param>
internal readonly record struct Frame(
    FrameKind Kind,
    long Offset,
    int Length,
    uint Commit,
    uint Back,
    long ArrivalUnixNanoseconds,
    OriginId Origin,
    ulong FirstSequence,
    uint Count,
    ReadOnlyMemory<byte> Payload)
{
    /// <summary>Where the next frame begins.</summary>
    internal long End => Offset + Length;

    /// <summary>The last sequence, for frames that carry reports.</summary>
    internal ulong LastSequence => FirstSequence + Count - 1;

    /// <summary>The reports inside, in order; the decoder has checked that they fill the payload exactly.</summary>
    internal IEnumerable<RawReport> Reports()
    {
        int at = 0;
        for (uint i = 0; i < Count; i++)
        {
            int length = BinaryPrimitives.ReadInt32LittleEndian(Payload.Span[at..]);
            yield return new RawReport(new ReportKey(Origin, FirstSequence + i), Payload.Slice(at + sizeof(int), length));
            at += sizeof(int) + length;
        }
    }
}
