using NodaTime;

namespace KitMesh.Footage.Ledger;

/// <summary>The moment a ledger is looked at, and what reports dated after it mean.</summary>
/// <param name="Ticks">The moment in Unix ticks.</param>
/// <param name="IsPast">
/// True when looking back: later reports are simply later. False for now: a report dated after now was written by a wrong
/// clock, and since it exists it has happened; bad news in it counts, good news does not.
/// </param>
internal readonly record struct Moment(long Ticks, bool IsPast)
{
    public Instant Instant => Instant.FromUnixTimeTicks(Ticks);

    /// <summary>Whether good news of that time counts.</summary>
    public bool Trusts(long ticks) => ticks <= Ticks;

    /// <summary>Whether bad news of that time counts.</summary>
    public bool Heeds(long ticks) => !IsPast || ticks <= Ticks;
}
