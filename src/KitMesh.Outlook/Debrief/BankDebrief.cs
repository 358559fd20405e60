using KitMesh.Domain;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;

namespace KitMesh.Outlook.Debrief;

/// <summary>What one bank did on the trip.</summary>
/// <param name="Bank">The bank.</param>
/// <param name="Team">Whose it is.</param>
/// <param name="Capacity">What it holds when full, warm and slowly drawn.</param>
/// <param name="Reserve">Its declared reserve.</param>
/// <param name="Days">One entry a civil day that has any reading.</param>
public sealed record BankDebrief(KitId Bank, KitId Team, WattHours Capacity, StateOfCharge Reserve, ValueList<BankDay> Days);
