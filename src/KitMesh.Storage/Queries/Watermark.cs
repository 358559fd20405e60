using KitMesh.Domain.Reports;
using KitMesh.Domain.Exchange;
using NodaTime;

namespace KitMesh.Storage.Queries;

/// <summary>What is kept of an origin.</summary>
/// <param name="Origin">The origin.</param>
/// <param name="Ranges">The sequences, ascending, neither overlapping nor touching.</param>
/// <param name="Oldest">The time of its oldest report.</param>
/// <param name="Newest">The time of its newest report.</param>
/// <param name="LastArrival">When a report of it was last journalled here.</param>
/// <param name="Forks">Reports kept beside an earlier one of the same sequence.</param>
public sealed record Watermark(
    OriginId Origin,
    SequenceRanges Ranges,
    Instant Oldest,
    Instant Newest,
    Instant LastArrival,
    int Forks);
