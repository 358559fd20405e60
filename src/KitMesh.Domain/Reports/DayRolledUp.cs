using NodaTime;

namespace KitMesh.Domain.Reports;

/// <summary>
/// What one thing did on one day, told by a hub that holds its readings: second-hand news, which goes ahead of them over a thin
/// link and gives way to them as they come.
/// </summary>
/// <param name="Item">The thing.</param>
/// <param name="From">Begin of the day, on a full hour of UTC.</param>
/// <param name="Until">End of the day.</param>
/// <param name="Lines">Its series; at most <see cref="MostLines"/> are written.</param>
public sealed record DayRolledUp(KitId Item, Instant From, Instant Until, ValueList<DayLine> Lines) : ReportBody
{
    /// <summary>The most series of one thing in one report.</summary>
    public const int MostLines = 200;

    /// <inheritdoc/>
    public override ReportKind Kind => ReportKind.DayRolledUp;
}
