using Google.Protobuf;
using KitMesh.Domain;
using KitMesh.Domain.Exchange;
using KitMesh.Domain.Reports;

namespace KitMesh.Protocol.Exchange;

/// <summary>Holdings and what became durable, to and from the wire.</summary>
internal static class HoldingsCodec
{
    public static V1.Holdings Write(HoldingsFrame frame)
    {
        var message = new V1.Holdings { Last = frame.Last };
        message.Holdings_.AddRange(frame.Holdings.Select(Write));
        return message;
    }

    public static V1.Durable Write(DurableFrame frame)
    {
        var message = new V1.Durable();
        foreach (DurableOrigin entry in frame.Origins)
        {
            var origin = new V1.DurableOrigin { Origin = OriginCodec.Write(entry.Origin) };
            if (entry.ChainSequence > 0)
            {
                origin.ChainSequence = entry.ChainSequence;
                origin.ChainHash = HashCodec.Write(entry.ChainHash);
            }

            origin.Ranges.AddRange(RangesCodec.Write(entry.Ranges));
            message.Origins.Add(origin);
        }

        return message;
    }

    public static HoldingsFrame? Read(V1.Holdings message, FieldReader fields)
    {
        if (message.Holdings_.Count > HoldingsFrame.MaxHoldings)
        {
            fields.Blame($"{message.Holdings_.Count} origins; {HoldingsFrame.MaxHoldings} are allowed");
            return null;
        }

        return new HoldingsFrame(message.Holdings_.Select(holding => Read(holding, fields)).ToValueList(), message.Last);
    }

    public static DurableFrame? Read(V1.Durable message, FieldReader fields)
    {
        if (message.Origins.Count > HoldingsFrame.MaxHoldings)
        {
            fields.Blame($"{message.Origins.Count} origins; {HoldingsFrame.MaxHoldings} are allowed");
            return null;
        }

        return new DurableFrame(message.Origins
            .Select(origin => new DurableOrigin(
                OriginCodec.Read(origin.Origin, fields),
                RangesCodec.Read(origin.Ranges, fields),
                origin.ChainSequence,
                ReadChain(origin.ChainSequence, origin.ChainHash, fields)))
            .ToValueList());
    }

    private static V1.Holding Write(Holding holding)
    {
        var message = new V1.Holding
        {
            Origin = OriginCodec.Write(holding.Origin),
            ChainSequence = holding.ChainSequence,
            ChainHash = HashCodec.Write(holding.ChainHash),
            Own = holding.Own,
        };
        message.Ranges.AddRange(RangesCodec.Write(holding.Ranges));
        return message;
    }

    private static Holding Read(V1.Holding message, FieldReader fields)
    {
        return new Holding(
            OriginCodec.Read(message.Origin, fields),
            RangesCodec.Read(message.Ranges, fields),
            message.ChainSequence,
            ReadChain(message.ChainSequence, message.ChainHash, fields),
            message.Own);
    }

    /// <summary>A node that cannot tell a chain hash says sequence 0 and may leave the hash out.</summary>
    private static Sha256Hash ReadChain(ulong sequence, ByteString hash, FieldReader fields) =>
        sequence == 0 && hash.IsEmpty ? default : HashCodec.Read(hash, fields, "chain hash");
}
