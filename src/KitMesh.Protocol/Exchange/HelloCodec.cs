using KitMesh.Domain.Exchange;
using KitMesh.Domain.Time;

namespace KitMesh.Protocol.Exchange;

/// <summary>Hello to and from the wire.</summary>
internal static class HelloCodec
{
    public static V1.Hello Write(HelloFrame frame) => new()
    {
        LowestVersion = frame.LowestVersion,
        HighestVersion = frame.HighestVersion,
        Node = frame.Node.Value,
        Role = (V1.NodeRole)(int)frame.Role,
        Software = frame.Software,
        FoldVersion = frame.FoldVersion,
        CreditBytes = (ulong)frame.CreditBytes,
        Clock = ClockCodec.Write(frame.Clock),
        ClockTrust = ClockCodec.Write(frame.ClockTrust),
        HybridTime = frame.Hybrid.Packed,
    };

    public static HelloFrame Read(V1.Hello message, FieldReader fields)
    {
        if (message.CreditBytes > int.MaxValue)
        {
            fields.Blame("the credit is out of range");
        }

        return new HelloFrame(
            message.LowestVersion,
            message.HighestVersion,
            fields.Node(message.Node, "node"),
            message.Role == V1.NodeRole.Hub ? NodeRole.Hub : NodeRole.Agent,
            message.Software,
            message.FoldVersion,
            (long)Math.Min(message.CreditBytes, int.MaxValue),
            fields.Time(message.Clock, "clock"),
            ClockCodec.Read(message.ClockTrust),
            new HybridTime(message.HybridTime));
    }
}
