using KitMesh.Domain.Reports;
using KitMesh.Sync.Journal.Format;

namespace KitMesh.Sync.Journal;

/// <summary>What opening hands to the journal.</summary>
/// <param name="JournalId">The journal's random number.</param>
/// <param name="Own">The origin to write as.</param>
/// <param name="LastNumber">The highest segment number ever seen.</param>
/// <param name="Doubtful">The newest segment, whose bytes may only be in the system's cache; null when there is none.</param>
/// <param name="DoubtfulFrames">Its sound frames.</param>
/// <param name="IsDoubtfulBlank">Whether nothing was ever written to it after its beginning.</param>
/// <param name="SpareEpoch">Random bits to make further epochs of, should this node's own reports turn out damaged while it runs.</param>
/// <param name="Recovery">What was found.</param>
internal sealed record JournalStart(
    ulong JournalId,
    OriginId Own,
    ulong LastNumber,
    Segment? Doubtful,
    IReadOnlyList<Frame> DoubtfulFrames,
    bool IsDoubtfulBlank,
    ulong SpareEpoch,
    JournalRecovery Recovery);
