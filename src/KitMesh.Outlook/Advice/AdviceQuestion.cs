using KitMesh.Domain;
using KitMesh.Domain.Results;
using NodaTime;

namespace KitMesh.Outlook.Advice;

/// <summary>The answers that advice is drawn from. What is null was not asked or could not be answered.</summary>
/// <param name="Now">World time.</param>
/// <param name="Energy">The energy outlook.</param>
/// <param name="Charging">Tonight's charging.</param>
/// <param name="Ledger">The ledger; no clips need be listed.</param>
/// <param name="Footage">The footage outlook.</param>
/// <param name="Alerts">The alerts that stand.</param>
public sealed record AdviceQuestion(
    Instant Now,
    EnergyOutlook? Energy,
    ChargingPlan? Charging,
    LedgerView? Ledger,
    FootageOutlook? Footage,
    ValueList<Alert> Alerts)
{
    /// <summary>The crew's civil time, in which hours are told. Default: UTC.</summary>
    public Offset Zone { get; init; }
}
