using KitMesh.Agent.Identity;
using KitMesh.Agent.Options;
using KitMesh.Agent.Outbox;
using KitMesh.Sync.Journal;
using KitMesh.Sync.Seals;
using KitMesh.Sync.Session;

namespace KitMesh.Agent.Link;

/// <summary>What a session with a hub works with.</summary>
internal sealed record LinkParts(
    AgentOptions Options,
    AgentSurroundings Surroundings,
    AgentClock Clock,
    AgentCounters Counters,
    IJournalWriter Journal,
    ReportOutbox Outbox,
    HubProgress Progress)
{
    /// <summary>Who this device is; null when it dials loopback only.</summary>
    public IdentityCare? Identity { get; init; }

    /// <summary>Makes this device's seals; null without a key.</summary>
    public OwnSeals? Seals { get; init; }

    /// <summary>Credit for what hubs might send: the least that a session takes.</summary>
    public CreditBudget Credit { get; } = new(CreditBudget.LeastWindow * 2);

    /// <summary>Clock pairs that were already reported.</summary>
    public ClockPairLog ClockPairs { get; } = new();
}
