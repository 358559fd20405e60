using KitMesh.Domain;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;

namespace KitMesh.Footage.Ledger;

/// <summary>All that one pass over the facts concluded; the risk and the runway read on from here.</summary>
internal sealed class JudgedLedger
{
    public required LedgerFacts Facts { get; init; }

    public required Moment Moment { get; init; }

    public required FactsExtent Extent { get; init; }

    public required TripWriters Rights { get; init; }

    public required KitView Kit { get; init; }

    /// <summary>The clips by day, card, path and hash.</summary>
    public required ClipEntry[] Entries { get; init; }

    /// <summary>The clips by what queries ask for.</summary>
    public required ClipGroups Groups { get; init; }

    /// <summary>Place in <see cref="Entries"/> by clip number; -1 for a clip that no card is known to have held.</summary>
    public required int[] Positions { get; init; }

    /// <summary>For each place in <see cref="Entries"/>, a card on hold that still has the clip, by its place in <see cref="CardNames"/>; -1 without one.</summary>
    public required int[] HeldByCard { get; init; }

    /// <summary>The places in <see cref="Entries"/> that each card on hold still has.</summary>
    public required IReadOnlyDictionary<KitId, HashSet<int>> HeldContents { get; init; }

    /// <summary>Drives by the number of their name; null where the name is no drive's.</summary>
    public required DriveView?[] Drives { get; init; }

    /// <summary>Drives by label.</summary>
    public required IReadOnlyList<DriveView> DrivesByRank { get; init; }

    /// <summary>What was counted of each of them.</summary>
    public required IReadOnlyList<DriveTally> DriveTallies { get; init; }

    /// <summary>Sets of drive ranks.</summary>
    public required IdSets DriveSets { get; init; }

    /// <summary>Sets of places in <see cref="CardNames"/>.</summary>
    public required IdSets CardSets { get; init; }

    public required KitId[] CardNames { get; init; }

    public required IReadOnlyList<SourceView> Sources { get; init; }

    public required IReadOnlyList<DayTally> DayTeams { get; init; }

    public required ValueList<DriveRow> DriveRows { get; init; }

    public required ValueList<CardRow> CardRows { get; init; }

    public required ValueList<DayRow> DayRows { get; init; }

    public required ValueList<LedgerOddity> Oddities { get; init; }

    public required int OdditiesTotal { get; init; }

    public required ValueList<ClearingRow> ClearingRows { get; init; }

    public ClipJudge NewJudge() => new(Facts, Moment, Drives, Rights, Extent);
}
