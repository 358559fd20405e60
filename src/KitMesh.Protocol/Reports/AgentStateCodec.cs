using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;

namespace KitMesh.Protocol.Reports;

/// <summary>Kind 15 to and from the wire.</summary>
internal static class AgentStateCodec
{
    public static V1.AgentState Write(AgentState state)
    {
        var message = new V1.AgentState
        {
            Node = state.Node.Value,
            Version = state.Version,
            WakeUps = state.WakeUps,
            BytesSent = state.BytesSent,
            ReportsWaiting = state.ReportsWaiting,
            FreeDiskBytes = state.FreeDisk.Value,
            NextExpectedSeconds = state.NextExpected,
        };
        if (state.Charge is { } charge)
        {
            message.Charge = charge.Value;
        }

        return message;
    }

    public static AgentState Read(V1.AgentState message, FieldReader fields)
    {
        return new AgentState(
            fields.Node(message.Node, "node"),
            message.Version,
            message.WakeUps,
            message.BytesSent,
            message.ReportsWaiting,
            message.HasCharge ? new StateOfCharge(message.Charge) : null,
            new ByteCount(message.FreeDiskBytes),
            message.NextExpectedSeconds);
    }
}
