using KitMesh.Domain.Kit;
using KitMesh.Domain.Reports;
using NodaTime;

namespace KitMesh.Protocol.Kit;

/// <summary>Kit kind 17 to and from the wire.</summary>
internal static class WatchedAgentCodec
{
    public static V1.WatchedAgent Write(WatchedAgent agent) => new()
    {
        Node = agent.Node.Value,
        Team = agent.Team.Value,
        SilentAfterNanos = Nanoseconds.Of(agent.SilentAfter),
        MayReportCopies = agent.MayReportCopies,
        MayRelease = agent.MayRelease,
    };

    public static WatchedAgent? Read(V1.WatchedAgent message, FieldReader fields)
    {
        NodeId node = fields.Node(message.Node, "node");
        KitId team = fields.Id(message.Team, "team");
        return fields.Fault is null
            ? new WatchedAgent(node, team, Duration.FromNanoseconds(message.SilentAfterNanos), message.MayReportCopies, message.MayRelease)
            : null;
    }
}
