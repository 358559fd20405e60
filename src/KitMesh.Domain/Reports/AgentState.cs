using KitMesh.Domain.Quantities;

namespace KitMesh.Domain.Reports;

/// <summary>A sign of life of an agent or hub, with what running it costs.</summary>
/// <param name="Node">The node that speaks.</param>
/// <param name="Version">Its software version.</param>
/// <param name="WakeUps">Times its process woke for work since start.</param>
/// <param name="BytesSent">Bytes it sent to hubs since start, counted before compression.</param>
/// <param name="ReportsWaiting">Reports not yet acknowledged by any hub.</param>
/// <param name="Charge">State of charge of the device it runs on, where it has a battery.</param>
/// <param name="FreeDisk">Bytes free where its journal is.</param>
/// <param name="NextExpected">Seconds until it should be heard again; past twice this it counts as silent.</param>
public sealed record AgentState(
    NodeId Node,
    string Version,
    long WakeUps,
    long BytesSent,
    long ReportsWaiting,
    StateOfCharge? Charge,
    ByteCount FreeDisk,
    int NextExpected) : ReportBody
{
    /// <inheritdoc/>
    public override ReportKind Kind => ReportKind.AgentState;
}
