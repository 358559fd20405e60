using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;

namespace KitMesh.Outlook.Debrief;

/// <summary>What one load took.</summary>
/// <param name="Load">The load.</param>
/// <param name="Bank">The bank it draws from.</param>
/// <param name="Declared">What the trip file says of an ordinary day.</param>
/// <param name="Total">All that was metered.</param>
/// <param name="WholeDays">Days metered for at least 20 of their 24 hours.</param>
/// <param name="PerDay">Mean of those days; null without one.</param>
/// <param name="RefusedTimes">How often it stood plugged in and took no charge.</param>
/// <param name="RefusedHours">For how long in all.</param>
public sealed record LoadDebrief(
    KitId Load, KitId Bank, WattHours Declared, WattHours Total, int WholeDays, WattHours? PerDay, int RefusedTimes, double RefusedHours);
