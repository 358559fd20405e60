using KitMesh.Domain.Time;
using NodaTime;

namespace KitMesh.Domain.State;

/// <summary>When a node was heard last and how far its wall clock is off.</summary>
/// <param name="LastHeard">When its newest report was written.</param>
/// <param name="ClockAhead">Its wall clock then minus that time; null when no two clocks were compared.</param>
/// <param name="Trust">Rank of the clock behind that comparison.</param>
public sealed record NodeSeen(Instant LastHeard, Duration? ClockAhead, ClockTrust Trust);
