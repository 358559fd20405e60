using NodaTime;

namespace KitMesh.Domain.Results;

/// <summary>How long the drives last under the copy rules, in short: what an alert looks at.</summary>
/// <param name="LastDay">The day that they must last to.</param>
/// <param name="RoomLasts">The chance that every copy the rules ask for still finds room on the last day.</param>
/// <param name="LastsUntil">The last day that still fits with chance 0.9; null when not even today does.</param>
/// <param name="DaysLeft">Whole days from today to <paramref name="LastsUntil"/>, today included; 0 when not even today fits.</param>
/// <param name="GigabytesPerDay">What all sources together are expected to shoot in a day.</param>
/// <param name="GigabytesLeft">Footage that still fits under the copy rules.</param>
public sealed record Runway(
    LocalDate LastDay,
    Quantities.Probability RoomLasts,
    LocalDate? LastsUntil,
    int DaysLeft,
    double GigabytesPerDay,
    double GigabytesLeft);
