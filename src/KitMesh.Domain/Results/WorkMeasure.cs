using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;

namespace KitMesh.Domain.Results;

/// <summary>What the energy that may be spent means in days of one device's work.</summary>
/// <param name="Load">The device.</param>
/// <param name="PerDay">What it takes on an ordinary day at today's temperature.</param>
/// <param name="DaysLeft">Its working days until the last day that the energy covers.</param>
/// <param name="DaysWanted">Its working days until the last day.</param>
/// <param name="Words">In the words of its user: "recorder 2: 9 of 14 days".</param>
public sealed record WorkMeasure(KitId Load, WattHours PerDay, double DaysLeft, double DaysWanted, string Words);
