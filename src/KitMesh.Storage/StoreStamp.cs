namespace KitMesh.Storage;

/// <summary>What a store was built from. A store with another stamp is discarded and refilled.</summary>
/// <param name="JournalId">The journal; positions mean nothing in another one.</param>
/// <param name="FoldVersion">The version of the rules that time reports.</param>
public readonly record struct StoreStamp(ulong JournalId, int FoldVersion);
