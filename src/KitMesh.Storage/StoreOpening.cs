using KitMesh.Sync.Journal;

namespace KitMesh.Storage;

/// <summary>What was found when a store was opened.</summary>
/// <param name="State">Whether what was there is used.</param>
/// <param name="AppliedTo">Where in the journal the replay must go on; the start unless the content is used.</param>
/// <param name="Reason">Why a store was discarded, in words for a person; null otherwise.</param>
public sealed record StoreOpening(StoreOpeningState State, JournalPosition AppliedTo, string? Reason = null);
