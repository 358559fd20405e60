namespace KitMesh.Outlook.Learning;

/// <summary>What is believed of one load's energy a day.</summary>
/// <param name="MeanWh">Mean.</param>
/// <param name="MeanSd">Standard deviation of the belief in the mean.</param>
/// <param name="DaySd">Spread from day to day.</param>
/// <param name="Days">Days it was learnt from.</param>
/// <param name="HourShares">Share of a day's energy by civil hour; adds up to 1.</param>
internal sealed record LoadBelief(double MeanWh, double MeanSd, double DaySd, int Days, IReadOnlyList<double> HourShares);
