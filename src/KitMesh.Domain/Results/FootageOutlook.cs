using KitMesh.Domain.Quantities;
using NodaTime;

namespace KitMesh.Domain.Results;

/// <summary>The footage outlook: will the drives fill, what is at risk, what to do next.</summary>
/// <param name="AsOf">The moment.</param>
/// <param name="LastDay">The day that the drives must last to.</param>
/// <param name="Copies">Copies that the trip's rule asks for.</param>
/// <param name="Cases">Different cases that it asks for.</param>
/// <param name="GigabytesPerDay">What all sources together are expected to shoot in a day.</param>
/// <param name="Sources">By source.</param>
/// <param name="Drives">By drive.</param>
/// <param name="RoomLasts">The chance that every copy the rule asks for still finds room on the last day.</param>
/// <param name="Shortfalls">Copies that can no longer be made, by copy; empty when all find room for certain.</param>
/// <param name="GiveWays">What could give way if the room does not last; empty when it does.</param>
/// <param name="ByLastDay">Loss by the end of the last day.</param>
/// <param name="ByHandover">Loss by the handover.</param>
/// <param name="Moves">What lowers the risk most for its minutes, watt-hours and gigabytes, best first.</param>
public sealed record FootageOutlook(
    Instant AsOf,
    LocalDate LastDay,
    int Copies,
    int Cases,
    double GigabytesPerDay,
    ValueList<SourceRate> Sources,
    ValueList<DriveFill> Drives,
    Probability RoomLasts,
    ValueList<CopyShortfall> Shortfalls,
    ValueList<GiveWay> GiveWays,
    LossRisk ByLastDay,
    LossRisk ByHandover,
    ValueList<FootageMove> Moves)
{
    /// <summary>What to clear from intermediate drives tonight, so that tomorrow fits.</summary>
    public ValueList<ClearingPlan> Clearing { get; init; } = [];
}
