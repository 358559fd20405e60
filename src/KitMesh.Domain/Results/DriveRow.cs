using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using NodaTime;

namespace KitMesh.Domain.Results;

/// <summary>One drive and what it holds.</summary>
/// <param name="Drive">The drive, by its label.</param>
/// <param name="Declared">Whether the trip file declares it.</param>
/// <param name="Case">The outermost declared case that it is in; null when it is in none.</param>
/// <param name="Carrier">Who or what has it; null when nobody said.</param>
/// <param name="Capacity">Size of its file system as last seen, else as declared; null when neither is known.</param>
/// <param name="Free">Bytes free as last seen less what was copied since; null when never seen.</param>
/// <param name="Copies">Copies on it that are proven.</param>
/// <param name="Size">Bytes of those copies.</param>
/// <param name="Overdue">Copies whose last proof is older than their rule allows.</param>
/// <param name="Lost">Copies that failed a later reading.</param>
/// <param name="OldestProof">The oldest last proof among its copies; null when it holds none.</param>
/// <param name="LastSeen">When a station last saw it; null if never.</param>
/// <param name="Health">What it says of its health.</param>
/// <param name="Temperature">Its own thermometer, as last seen.</param>
/// <param name="Doubt">Why it cannot be told which drive this is, in words; null when there is no doubt.</param>
/// <param name="Intermediate">Whether it is cleared again and again: what is on it counts for no copy rule.</param>
/// <param name="RecheckBy">When the first of its proofs becomes older than its rule allows; null when none ever does.</param>
public sealed record DriveRow(
    KitId Drive,
    bool Declared,
    KitId? Case,
    KitId? Carrier,
    ByteCount? Capacity,
    ByteCount? Free,
    int Copies,
    ByteCount Size,
    int Overdue,
    int Lost,
    Instant? OldestProof,
    Instant? LastSeen,
    DriveHealth Health,
    Celsius? Temperature,
    string? Doubt,
    bool Intermediate = false,
    Instant? RecheckBy = null);
