using KitMesh.Domain.Reports;

namespace KitMesh.Outlook.Plan;

/// <summary>Charge hours of one bank's devices on one night.</summary>
/// <param name="Bank">The bank.</param>
/// <param name="Outlets">Outlets it has.</param>
/// <param name="Hours">Outlet hours that an ordinary day's use takes to charge again.</param>
/// <param name="HoursThereAre">Outlets times the hours from 18 to 7 o'clock (own choice of an evening and night).</param>
/// <param name="Longest">The device that takes longest; null without any.</param>
/// <param name="LongestHours">Its hours.</param>
public sealed record ChargeNight(KitId Bank, int Outlets, double Hours, double HoursThereAre, KitId? Longest, double LongestHours);
