using KitMesh.Domain.State;
using KitMesh.Sync.Journal;

namespace KitMesh.Hub.Ingest;

/// <summary>The merged state at one moment.</summary>
/// <param name="Version">Grows with every change; answers are cached by it.</param>
/// <param name="State">The state.</param>
/// <param name="Position">How far the journal is merged into it.</param>
internal sealed record MergedSnapshot(long Version, TripState State, JournalPosition Position);
