using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using NodaTime;

namespace KitMesh.Domain.Results;

/// <summary>One card: may it be formatted, and why or why not.</summary>
/// <param name="Card">The card.</param>
/// <param name="State">How it stands.</param>
/// <param name="Reason">Why, for a tired person, with figures.</param>
/// <param name="Source">The camera or recorder that writes it, where known.</param>
/// <param name="Team">Whose source it is, where declared.</param>
/// <param name="Rule">The copy rule it is under; null when none is declared and the least common practice is used.</param>
/// <param name="Insertion">Its latest visit; null when it was only ever declared.</param>
/// <param name="LastSeen">When that visit began.</param>
/// <param name="Clips">Clips on it since it was last formatted (for a formatted card: what was on it before).</param>
/// <param name="Size">Bytes of those clips.</param>
/// <param name="ClipsMet">How many of them meet the rule.</param>
/// <param name="LeastCopies">The fewest proven copies that any of them has.</param>
/// <param name="ShortAndGone">Clips that were on it, are no longer, and do not meet the rule: formatted or deleted without proof, or their copies were lost since.</param>
/// <param name="HoldSince">When it went on hold; null when it is not on hold.</param>
/// <param name="Evening">When it should be released at the latest under its rule; null when it is not on hold.</param>
/// <param name="FormattedAt">When it was formatted, or found so; null when it was not.</param>
/// <param name="Override">Who released it against the rule and why; stands for ever. Null when nobody did.</param>
public sealed record CardRow(
    KitId Card,
    CardState State,
    string Reason,
    KitId? Source,
    KitId? Team,
    KitId? Rule,
    KitId? Insertion,
    Instant? LastSeen,
    int Clips,
    ByteCount Size,
    int ClipsMet,
    int LeastCopies,
    int ShortAndGone,
    Instant? HoldSince,
    Instant? Evening,
    Instant? FormattedAt,
    string? Override);
