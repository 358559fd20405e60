using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;

namespace KitMesh.Domain.Results;

/// <summary>What the energy that may be spent means in days of one device's work.</summary>
/// <param name="Load">The device.</param>
/// <param name="PerDay">What it takes on an ordinary day at today's temperature.</param>
/// <param name="DaysLeft">Its working days until the last day that the energy covers.</param>
/// <param name="DaysWanted">Its working days until the last day.</param>
/// <param name="Unit">In what <paramref name="Amount"/> counts.</param>
/// <param name="Amount">Its work to the last day: days, hours, flights; for a phone the share of its battery a person and day.</param>
/// <param name="Words">In the words of its user: "recorder 2: 9 of 14 days".</param>
public sealed record WorkMeasure(KitId Load, WattHours PerDay, double DaysLeft, double DaysWanted, string Words, WorkUnit Unit = WorkUnit.Days, double Amount = 0);
