using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using NodaTime;

namespace KitMesh.Domain.Kit;

/// <summary>What a crew decides about its panels.</summary>
/// <param name="Id">Its name; a trip has one.</param>
/// <param name="DeployTime">People's time to set the panels out and bring them in once.</param>
/// <param name="ChancePerHour">Chance of running short that an hour of people's time is worth, from 0 to 1.</param>
/// <param name="GustLimit">Panels come down on days with stronger gusts; null leaves wind out.</param>
/// <param name="UsualGust">Median of a day's strongest gust; only used with a limit.</param>
/// <param name="SnowLoss">Most of the power that snow on the panel takes on a dull day, from 0 to 1.</param>
public sealed record PanelHabit(
    KitId Id, Duration DeployTime, double ChancePerHour, MetresPerSecond? GustLimit, MetresPerSecond UsualGust, double SnowLoss) : KitItem(Id)
{
    /// <inheritdoc/>
    public override KitKind Kind => KitKind.PanelHabit;
}
