using KitMesh.Domain;
using KitMesh.Domain.Reports;

namespace KitMesh.Protocol.Reports;

/// <summary>Kind 21 to and from the wire.</summary>
internal static class NodeRevokedCodec
{
    public static V1.NodeRevoked Write(NodeRevoked revoked)
    {
        var message = new V1.NodeRevoked
        {
            Node = revoked.Node.Value,
            Author = revoked.Author,
            Reason = revoked.Reason,
        };
        message.Origins.AddRange(revoked.Origins.Select(origin => new V1.LastValidReport { Epoch = origin.Epoch, Sequence = origin.Sequence }));
        return message;
    }

    public static NodeRevoked Read(V1.NodeRevoked message, FieldReader fields) => new(
        fields.Node(message.Node, "node"),
        message.Origins.Select(origin => new LastValidReport(origin.Epoch, origin.Sequence)).ToValueList(),
        message.Author,
        message.Reason);
}
