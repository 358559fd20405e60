namespace KitMesh.TestKit.Mutants;

/// <summary>
/// Deliberate breakages, one at a time: each is a mistake that somebody could make. A checker that none of them can fool is
/// worth something.
/// </summary>
public enum Mutant
{
    /// <summary>The code as it is.</summary>
    None,

    /// <summary>Sync returns without syncing.</summary>
    SyncDoesNothing,

    /// <summary>A directory's sync returns without syncing.</summary>
    DirectorySyncDoesNothing,

    /// <summary>A failed sync is called good, as if a second try had proved something.</summary>
    FailedSyncTrusted,

    /// <summary>A failed write is called good.</summary>
    FailedWriteTrusted,

    /// <summary>A rename copies the content under the new name, without a sync, and deletes the old one.</summary>
    RenameByCopy,

    /// <summary>Sealed segments are not synced before the raw file goes.</summary>
    SealWithoutSync,

    /// <summary>What is only gathered is told as durable.</summary>
    HoldingBeforeSync,

    /// <summary>Some batches are called durable and forgotten.</summary>
    AppendForgotten,

    /// <summary>An agent counts a report as acknowledged when it is sent.</summary>
    AcknowledgedWhenSent,

    /// <summary>A relay passes on other bytes than it got.</summary>
    RelayRewrites,

    /// <summary>Gaps are left out of what a node says it holds.</summary>
    HoldingWithoutGaps,

    /// <summary>A replaced disk starts with the old epoch.</summary>
    EpochUsedAgain,

    /// <summary>A hybrid clock follows any remote one, however far ahead.</summary>
    HybridClockFollows,

    /// <summary>A sender takes more credit than it was given.</summary>
    CreditStretched,

    /// <summary>A ledger counts a copy as proven when it was written.</summary>
    WrittenCountsAsProof,

    /// <summary>A ledger counts a copy as proven that was read back through the cache.</summary>
    CacheCountsAsProof,

    /// <summary>A ledger does not hear that a copy turned out bad.</summary>
    FailureUnheard,

    /// <summary>A hub takes a report for its writer's word although no seal covers it.</summary>
    SealNotAsked,

    /// <summary>The state keeps what came last instead of what happened last.</summary>
    StateByArrival,
}
