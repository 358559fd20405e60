using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;

namespace KitMesh.Domain.Results;

/// <summary>Energy that tonight's charging may take from one bank, and what the plan takes.</summary>
/// <param name="Bank">The bank.</param>
/// <param name="MaySpend">The bound.</param>
/// <param name="Spends">What the plan takes.</param>
public sealed record BankBudget(KitId Bank, WattHours MaySpend, WattHours Spends);
