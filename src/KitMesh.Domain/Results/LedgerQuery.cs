using KitMesh.Domain.Reports;
using NodaTime;

namespace KitMesh.Domain.Results;

/// <summary>Which clips a ledger view lists. All conditions that are given must hold.</summary>
/// <param name="Clip">Only this clip.</param>
/// <param name="Card">Only clips seen on this card.</param>
/// <param name="Day">Only clips of this day.</param>
/// <param name="Drive">Only clips with a copy on this drive.</param>
/// <param name="Case">Only clips with a copy in this case.</param>
/// <param name="Source">Only clips of this camera or recorder.</param>
/// <param name="Team">Only clips of this team.</param>
/// <param name="ShortOnly">Only clips that do not meet their copy rule.</param>
/// <param name="StillOnCard">With a card: only clips that it still holds while it is on hold.</param>
/// <param name="Skip">Clips to leave out from the start of the list, for paging.</param>
/// <param name="Limit">The most clips to list, from 0 to <see cref="MaxLimit"/>.</param>
public sealed record LedgerQuery(
    ClipHash? Clip = null,
    KitId? Card = null,
    LocalDate? Day = null,
    KitId? Drive = null,
    KitId? Case = null,
    KitId? Source = null,
    KitId? Team = null,
    bool ShortOnly = false,
    bool StillOnCard = false,
    int Skip = 0,
    int Limit = LedgerQuery.DefaultLimit)
{
    /// <summary>Clips listed when nothing else is asked.</summary>
    public const int DefaultLimit = 200;

    /// <summary>The most clips that one view lists.</summary>
    public const int MaxLimit = 10_000;

    /// <summary>No conditions.</summary>
    public static readonly LedgerQuery All = new();
}
