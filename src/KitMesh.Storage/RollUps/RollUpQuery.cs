using NodaTime;

namespace KitMesh.Storage.RollUps;

/// <summary>Asks for the roll-ups of a series.</summary>
/// <param name="Series">The series.</param>
/// <param name="Span">Length of the buckets.</param>
/// <param name="From">Buckets that end after this.</param>
/// <param name="Until">Buckets that begin before this.</param>
public sealed record RollUpQuery(SeriesKey Series, RollUpSpan Span, Instant From, Instant Until);
