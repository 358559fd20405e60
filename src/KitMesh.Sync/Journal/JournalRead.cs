using KitMesh.Domain.Reports;

namespace KitMesh.Sync.Journal;

/// <summary>Reports read back, in sequence order.</summary>
/// <param name="Reports">The reports; fewer than asked for at the byte limit, at a gap or at damage.</param>
/// <param name="Damage">
/// Non-null when the medium gave back something else than what was written. The damaged sequences have left the
/// holding, so that the next hello asks for them again.
/// </param>
public sealed record JournalRead(IReadOnlyList<RawReport> Reports, JournalDamage? Damage = null);
