namespace KitMesh.Sync.Journal;

/// <summary>Bytes of a journal that are not what was written: rot, a failing medium, a foreign hand.</summary>
/// <param name="File">The segment file, kept as evidence.</param>
/// <param name="Offset">Where the damage begins, in the segment's uncompressed bytes.</param>
/// <param name="Length">How many bytes it spans.</param>
/// <param name="Detail">What was found.</param>
public sealed record JournalDamage(string File, long Offset, long Length, string Detail);
