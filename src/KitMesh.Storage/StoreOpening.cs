namespace KitMesh.Storage;

/// <summary>What was found when a store was opened.</summary>
/// <param name="State">Whether what was there is used.</param>
/// <param name="Reason">Why a store was discarded, in words for a person; null otherwise.</param>
public sealed record StoreOpening(StoreOpeningState State, string? Reason = null);
