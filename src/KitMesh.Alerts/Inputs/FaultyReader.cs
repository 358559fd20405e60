using KitMesh.Domain.Reports;
using NodaTime;

namespace KitMesh.Alerts.Inputs;

/// <summary>A device that gives no answer or nonsense, as its agent reported.</summary>
/// <param name="Node">The agent.</param>
/// <param name="Reader">The reader, as the agent file names it.</param>
/// <param name="Subject">What it reads, where named.</param>
/// <param name="Message">What happened.</param>
/// <param name="At">Since when.</param>
public sealed record FaultyReader(NodeId Node, string Reader, KitId? Subject, string Message, Instant At);
