using KitMesh.Domain.Quantities;
using NodaTime;

namespace KitMesh.Domain.Results;

/// <summary>What a crew decides about its panels. Every figure has a default, so that nobody must decide.</summary>
/// <param name="DeployTime">People's time to set the panels out and bring them in once. Default 15 min: common practice, no published source.</param>
/// <param name="ChancePerHour">Chance of running short that an hour of people's time is worth, from 0 to 1. Default 0.002: own choice.</param>
/// <param name="GustLimit">Panels come down on days with stronger gusts; null leaves wind out, because no wind is declared for a place.</param>
/// <param name="UsualGust">Median of a day's strongest gust; only used with a limit. Default 8 m/s: own choice.</param>
/// <param name="SnowLoss">Most of the power that snow on the panel takes on a dull day, from 0 to 1. Default 0: somebody brushes it off.</param>
public sealed record EnergySettings(
    Duration DeployTime, double ChancePerHour, MetresPerSecond? GustLimit, MetresPerSecond UsualGust, double SnowLoss)
{
    /// <summary>The defaults.</summary>
    public static EnergySettings Default { get; } = new(Duration.FromMinutes(15), 0.002, null, new(8), 0);
}
