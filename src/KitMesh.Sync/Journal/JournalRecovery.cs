using KitMesh.Domain;
using KitMesh.Disk;
using KitMesh.Domain.Exchange;
using KitMesh.Domain.Reports;

namespace KitMesh.Sync.Journal;

/// <summary>What opening a journal found and did.</summary>
/// <param name="Segments">Segments kept.</param>
/// <param name="TailBytesCut">Bytes after the last sound frame of the newest segment: a write that power or a kill cut short. Nobody was told it was safe.</param>
/// <param name="Damage">Bytes that had been durable and are not what was written. What they held has left the holding, so that peers send it again.</param>
/// <param name="Missing">Sequences that had been durable here and are gone, by origin.</param>
/// <param name="OldOrigin">The epoch that was closed because its tail or its middle cannot be vouched for; null when the present one goes on.</param>
/// <param name="Pending">Why the journal can only be read until space or the device is back; null when it can be written.</param>
public sealed record JournalRecovery(
    int Segments,
    long TailBytesCut,
    ValueList<JournalDamage> Damage,
    ValueList<(OriginId Origin, SequenceRange Range)> Missing,
    OriginId? OldOrigin,
    DiskFault? Pending);
