using KitMesh.Alerts.Inputs;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using NodaTime;

namespace KitMesh.Alerts;

/// <summary>Everything that rules look at. An agent fills only the packs it reads; a hub fills what it knows.</summary>
/// <param name="Now">World time.</param>
public sealed record AlertInputs(Instant Now)
{
    /// <summary>The crew's civil time, in which alerts tell hours. UTC until somebody declares a trip.</summary>
    public Offset Zone { get; init; }

    /// <summary>What is known of each pack or bank.</summary>
    public IReadOnlyList<PackCondition> Packs { get; init; } = [];

    /// <summary>The agents that the trip expects to hear from.</summary>
    public IReadOnlyList<AgentCondition> Agents { get; init; } = [];

    /// <summary>The newest state of each drive.</summary>
    public IReadOnlyList<DriveCondition> Drives { get; init; } = [];

    /// <summary>Copies that failed and have not been made good since.</summary>
    public IReadOnlyList<FailedCopy> FailedCopies { get; init; } = [];

    /// <summary>Cards that may not be formatted yet, or were formatted too early.</summary>
    public IReadOnlyList<HeldCard> HeldCards { get; init; } = [];

    /// <summary>Clips with something odd about them: a missing chapter, two contents under one name.</summary>
    public IReadOnlyList<ClipTrouble> Clips { get; init; } = [];

    /// <summary>Devices that give no answer or nonsense.</summary>
    public IReadOnlyList<FaultyReader> FaultyReaders { get; init; } = [];

    /// <summary>Origins whose reports split into two histories.</summary>
    public IReadOnlyList<ForkedOrigin> Forks { get; init; } = [];

    /// <summary>Origins whose seals do not fit what is said to be theirs.</summary>
    public IReadOnlyList<DoubtfulOrigin> DoubtfulOrigins { get; init; } = [];

    /// <summary>The footage ledger without its clips; null where nobody keeps one.</summary>
    public LedgerView? Ledger { get; init; }

    /// <summary>The footage outlook, up to some hours old; null where nobody computes one.</summary>
    public FootageOutlook? Footage { get; init; }

    /// <summary>When it last became night where each team lives.</summary>
    public IReadOnlyDictionary<KitId, Instant> Nightfalls { get; init; } = new Dictionary<KitId, Instant>();
}
