using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using NodaTime;

namespace KitMesh.Hub.Pages;

/// <summary>What one device took from its bank on one civil day.</summary>
/// <param name="Day">The crew's day.</param>
/// <param name="Taken">Energy that was seen to be taken.</param>
/// <param name="Seen">For how long the device was seen on that day.</param>
/// <param name="Lasted">How long the day has lasted so far; 24 hours for a day that is over.</param>
public sealed record LoadDay(LocalDate Day, WattHours Taken, Duration Seen, Duration Lasted)
{
    /// <summary>The hub whose word it is, because the readings are not here; null when they are.</summary>
    public NodeId? By { get; init; }

    /// <summary>How long ago that hub wrote it.</summary>
    public Duration ToldAgo { get; init; }

    /// <summary>A day counts as a whole when five sixths of it were seen: 20 of 24 hours, as where loads are learnt. Own choice.</summary>
    public bool IsWhole => Seen.TotalHours >= Lasted.TotalHours * 5 / 6;
}
