using KitMesh.Domain;
using KitMesh.Domain.Exchange;

namespace KitMesh.Protocol.Exchange;

/// <summary>The two frames that find forks, to and from the wire.</summary>
internal static class CompareCodec
{
    public static V1.Compare Write(CompareFrame frame)
    {
        var message = new V1.Compare { Origin = OriginCodec.Write(frame.Origin) };
        message.Ranges.AddRange(frame.Ranges.Select(range => new V1.RangeHash
        {
            Range = RangesCodec.Write(range.Range),
            Hash = HashCodec.Write(range.Hash),
        }));
        return message;
    }

    public static V1.Contents Write(ContentsFrame frame)
    {
        var message = new V1.Contents
        {
            Origin = OriginCodec.Write(frame.Origin),
            Range = RangesCodec.Write(frame.Range),
            Answer = frame.Answer,
        };
        message.Contents_.AddRange(frame.Contents.Select(content => new V1.Content
        {
            Sequence = content.Sequence,
            Hash = HashCodec.Write(content.Hash),
        }));
        return message;
    }

    public static CompareFrame? Read(V1.Compare message, FieldReader fields)
    {
        if (message.Ranges.Count > CompareFrame.MaxRanges)
        {
            fields.Blame($"{message.Ranges.Count} ranges; {CompareFrame.MaxRanges} are allowed");
            return null;
        }

        var ranges = new List<RangeHash>(message.Ranges.Count);
        foreach (V1.RangeHash range in message.Ranges)
        {
            if (RangesCodec.Read(range.Range, fields) is { } read)
            {
                ranges.Add(new RangeHash(read, HashCodec.Read(range.Hash, fields, "hash")));
            }
        }

        return new CompareFrame(OriginCodec.Read(message.Origin, fields), ranges.ToValueList());
    }

    public static ContentsFrame? Read(V1.Contents message, FieldReader fields)
    {
        if (message.Contents_.Count > ContentsFrame.MaxContents)
        {
            fields.Blame($"{message.Contents_.Count} contents; {ContentsFrame.MaxContents} are allowed");
            return null;
        }

        if (RangesCodec.Read(message.Range, fields) is not { } range)
        {
            return null;
        }

        ValueList<ReportContent> contents = message.Contents_
            .Select(content => new ReportContent(content.Sequence, HashCodec.Read(content.Hash, fields, "hash")))
            .Order()
            .ToValueList();
        if (contents.Any(content => content.Sequence < range.First || content.Sequence > range.Last))
        {
            fields.Blame("a content lies outside its range");
        }

        return new ContentsFrame(OriginCodec.Read(message.Origin, fields), range, contents, message.Answer);
    }
}
