using KitMesh.Domain.Quantities;
using NodaTime;

namespace KitMesh.Domain.Results;

/// <summary>The ledger at one moment: what <c>kitmesh ledger</c> prints and the footage page shows.</summary>
/// <param name="AsOf">The moment.</param>
/// <param name="ClipsTotal">Clips that match the query, listed or not.</param>
/// <param name="SizeTotal">Their bytes.</param>
/// <param name="ClipsMet">How many of them meet their copy rule.</param>
/// <param name="Clips">The matching clips by day, card, path and hash, from the query's skip up to its limit.</param>
/// <param name="Cards">Every card, those on hold first.</param>
/// <param name="Drives">Every drive, by label.</param>
/// <param name="Days">The day × case grid, by day and team.</param>
/// <param name="Oddities">What cannot be right, newest first, at most <see cref="MaxOddities"/>.</param>
/// <param name="OdditiesTotal">How many there are, listed or not.</param>
/// <param name="Clearing">Intermediate drives: what may be cleared, and in which order.</param>
public sealed record LedgerView(
    Instant AsOf,
    int ClipsTotal,
    ByteCount SizeTotal,
    int ClipsMet,
    ValueList<ClipRow> Clips,
    ValueList<CardRow> Cards,
    ValueList<DriveRow> Drives,
    ValueList<DayRow> Days,
    ValueList<LedgerOddity> Oddities,
    int OdditiesTotal,
    ValueList<ClearingRow> Clearing)
{
    /// <summary>The most oddities that one view lists.</summary>
    public const int MaxOddities = 100;

    /// <summary>The view before any report has arrived.</summary>
    /// <param name="asOf">The moment.</param>
    public static LedgerView Empty(Instant asOf) => new(asOf, 0, ByteCount.Zero, 0, [], [], [], [], [], 0, []);
}
