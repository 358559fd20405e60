using KitMesh.Domain.Reports;
using KitMesh.Domain.Time;
using NodaTime;

namespace KitMesh.Alerts.Inputs;

/// <summary>When an agent was heard last and how far its wall clock is off.</summary>
/// <param name="Node">The agent.</param>
/// <param name="LastHeard">When its newest report was written; null when it was never heard.</param>
/// <param name="ExpectedSince">Since when it should be heard at all (the trip's first day).</param>
/// <param name="SilentAfter">It counts as silent when not heard for longer.</param>
/// <param name="ClockAhead">Its wall clock minus mesh time; null when no two clocks were compared.</param>
/// <param name="Trust">Rank of the clock behind that comparison.</param>
/// <param name="ClockDoubt">How far that comparison itself may be off: half the round trip, and drift since.</param>
public sealed record AgentCondition(
    NodeId Node,
    Instant? LastHeard,
    Instant ExpectedSince,
    Duration SilentAfter,
    Duration? ClockAhead,
    ClockTrust Trust,
    Duration ClockDoubt = default);
