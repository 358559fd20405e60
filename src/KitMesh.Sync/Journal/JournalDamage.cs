using KitMesh.Disk;

namespace KitMesh.Sync.Journal;

/// <summary>Bytes of a journal that could not be read back as they were written: rot, a failing medium, a foreign hand.</summary>
/// <param name="File">The segment file, kept as evidence.</param>
/// <param name="Offset">Where the damage begins, in the segment's uncompressed bytes.</param>
/// <param name="Length">How many bytes it spans.</param>
/// <param name="Detail">What was found.</param>
/// <param name="Cause">The kind of fault; <see cref="DiskFaultKind.InputOutput"/> when the bytes are wrong or unreadable for good.</param>
public sealed record JournalDamage(string File, long Offset, long Length, string Detail, DiskFaultKind Cause);
