using KitMesh.Domain;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using NodaTime;

namespace KitMesh.Footage.Ledger;

/// <summary>Where all footage lies at one moment, without the single clips: what risk and runway are computed from.</summary>
/// <param name="AsOf">The moment.</param>
/// <param name="Trip">The trip; null when none is declared.</param>
/// <param name="Groups">Clips by team, day and the drives that hold them.</param>
/// <param name="Drives">Every drive that is declared or was seen, by label.</param>
/// <param name="Cases">Every declared case.</param>
/// <param name="Sources">Every declared camera and recorder.</param>
/// <param name="Rule">The trip's copy rule; null when none is declared.</param>
/// <param name="Copies">Copies that the trip's rule asks for.</param>
/// <param name="CaseCount">Cases that it asks for.</param>
/// <param name="Shot">Bytes shot by source and day.</param>
/// <param name="Clearing">Intermediate drives.</param>
/// <param name="Demands">What each declared source's rule asks for.</param>
/// <param name="Figures">Figures behind the odds that the trip file declares.</param>
/// <param name="Dangers">What could take things together that do not ride in one case.</param>
public sealed record Holdings(
    Instant AsOf,
    Trip? Trip,
    ValueList<HeldGroup> Groups,
    ValueList<HeldDrive> Drives,
    ValueList<Case> Cases,
    ValueList<FootageSource> Sources,
    KitId? Rule,
    int Copies,
    int CaseCount,
    ValueList<ShotDay> Shot,
    ValueList<ClearingRow> Clearing,
    ValueList<SourceDemand> Demands,
    ValueList<LossFigure> Figures,
    ValueList<SharedDanger> Dangers);
