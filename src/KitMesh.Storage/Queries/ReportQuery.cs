using KitMesh.Domain;
using KitMesh.Domain.Reports;
using KitMesh.Protocol;
using NodaTime;

namespace KitMesh.Storage.Queries;

/// <summary>Asks for reports. What is null does not restrict.</summary>
/// <param name="Kinds">Only these kinds.</param>
/// <param name="Item">Only reports that name this thing.</param>
/// <param name="From">The earliest time, included.</param>
/// <param name="Until">The latest time, excluded.</param>
/// <param name="After">Goes on after the last report of the page before.</param>
/// <param name="Limit">The most reports, from 1 to <see cref="StoreLimits.MaxPage"/>.</param>
/// <param name="NewestFirst">Reverses the order: the newest reports first.</param>
public sealed record ReportQuery(
    ValueList<ReportKind>? Kinds = null,
    KitId? Item = null,
    Instant? From = null,
    Instant? Until = null,
    PagePosition? After = null,
    int Limit = 1_000,
    bool NewestFirst = false)
{
    /// <summary>The times asked for in nanoseconds, both included, and narrowed to what still comes after <see cref="After"/>.</summary>
    internal (long First, long Last) Bounds()
    {
        long first = From is { } from ? Nanoseconds.Of(from) : long.MinValue;
        long last = Until is { } until ? Math.Max(Nanoseconds.Of(until), long.MinValue + 1) - 1 : long.MaxValue;
        if (After is { } after)
        {
            long reached = Nanoseconds.Of(after.Time);
            (first, last) = NewestFirst ? (first, Math.Min(last, reached)) : (Math.Max(first, reached), last);
        }

        return (first, last);
    }
}
