using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using NodaTime;

namespace KitMesh.Domain.Results;

/// <summary>One day of one team: how safe what it shot is.</summary>
/// <param name="Day">The civil day.</param>
/// <param name="Team">The team; null where the source is not declared.</param>
/// <param name="Clips">Clips recorded that day.</param>
/// <param name="Size">Their bytes.</param>
/// <param name="Length">Their summed running time, as far as the files tell.</param>
/// <param name="ClipsMet">How many meet their copy rule.</param>
/// <param name="LeastCopies">The fewest proven copies of any.</param>
/// <param name="LeastCases">The fewest cases of any.</param>
/// <param name="Cases">The grid's cells for this day, by case.</param>
public sealed record DayRow(
    LocalDate Day,
    KitId? Team,
    int Clips,
    ByteCount Size,
    Duration Length,
    int ClipsMet,
    int LeastCopies,
    int LeastCases,
    ValueList<CaseCell> Cases)
{
    /// <summary>Clips with one good copy or none of which the rule wants more. A copy whose proof is only too old is good here: it is overdue, not lost.</summary>
    public int OneCopyClips { get; init; }

    /// <summary>Those among them without any good copy.</summary>
    public int NoCopyClips { get; init; }

    /// <summary>When the first clip with one good copy or none was found; null without one.</summary>
    public Instant? OneCopySince { get; init; }

    /// <summary>Clips that lack nothing of their rule but a recheck: their proofs are only too old.</summary>
    public int OverdueClips { get; init; }

    /// <summary>Clips that have proven copies, and all of them in one case.</summary>
    public int OneCaseClips { get; init; }
}
