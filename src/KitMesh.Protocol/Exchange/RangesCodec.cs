using Google.Protobuf.Collections;
using KitMesh.Domain.Exchange;

namespace KitMesh.Protocol.Exchange;

/// <summary>Sets of sequences to and from the wire.</summary>
public static class RangesCodec
{
    /// <summary>The most ranges that are taken of one origin in one frame.</summary>
    public const int MaxRanges = 4_096;

    /// <summary>
    /// To the wire, in order. Of a set with more ranges than a frame may have, the lowest: what stays untold is sent again,
    /// which is harmless, while a frame past the bound would end every session.
    /// </summary>
    /// <param name="ranges">The set.</param>
    public static IEnumerable<V1.SequenceRange> Write(SequenceRanges ranges)
    {
        ArgumentNullException.ThrowIfNull(ranges);
        return ranges.Take(MaxRanges).Select(Write);
    }

    internal static V1.SequenceRange Write(SequenceRange range) => new() { First = range.First, Last = range.Last };

    internal static SequenceRange? Read(V1.SequenceRange? message, FieldReader fields)
    {
        if (message is not null && SequenceRange.IsValid(message.First, message.Last))
        {
            return new SequenceRange(message.First, message.Last);
        }

        fields.Blame("a range holds nothing");
        return null;
    }

    internal static SequenceRanges Read(RepeatedField<V1.SequenceRange> messages, FieldReader fields)
    {
        if (messages.Count > MaxRanges)
        {
            fields.Blame($"{messages.Count} ranges of one origin; {MaxRanges} are allowed");
            return SequenceRanges.Empty;
        }

        var ranges = new List<SequenceRange>(messages.Count);
        foreach (V1.SequenceRange message in messages)
        {
            if (Read(message, fields) is { } range)
            {
                ranges.Add(range);
            }
        }

        return SequenceRanges.FromUnordered(ranges);
    }
}
