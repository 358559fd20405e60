using NodaTime;

namespace KitMesh.Footage.Ledger;

/// <summary>Turns ticks into civil days of the trip, and says which recording days a camera's clock can be right about.</summary>
/// <param name="OffsetTicks">The trip's civil time less UTC.</param>
/// <param name="FirstDay">The first day a recording can be from; without a trip, no limit.</param>
internal sealed record DayRange(long OffsetTicks, int FirstDay)
{
    private static readonly LocalDate Epoch = new(1970, 1, 1);

    public static DayRange Of(KitView kit) => new(
        kit.ZoneOffset.Ticks,
        kit.Trip is { } trip ? Period.DaysBetween(Epoch, trip.FirstDay) - 1 : int.MinValue);

    public int DayNumber(long ticks) => (int)Math.Floor((ticks + (double)OffsetTicks) / NodaConstants.TicksPerDay);

    /// <summary>Not before the trip's eve and not after the clip was found; a day is left for time zones.</summary>
    public bool CanBe(int recorded, int found) => recorded >= FirstDay && recorded <= found + 1;

    public static LocalDate Date(int day) => Epoch.PlusDays(day);
}
