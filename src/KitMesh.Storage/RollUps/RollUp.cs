using KitMesh.Domain.Reports;
using NodaTime;

namespace KitMesh.Storage.RollUps;

/// <summary>What a series did in one bucket. Values are in the unit of its <see cref="SeriesQuantity"/>.</summary>
/// <param name="Start">Begin of the bucket.</param>
/// <param name="Span">Its length.</param>
/// <param name="Samples">Readings inside it; 0 when only an earlier value reached into it.</param>
/// <param name="Min">The least value that held.</param>
/// <param name="Mean">The mean over the time in which a value was known.</param>
/// <param name="Max">The greatest value that held.</param>
/// <param name="Last">The value at the end.</param>
/// <param name="Known">For how long a value was known.</param>
public sealed record RollUp(Instant Start, RollUpSpan Span, int Samples, double Min, double Mean, double Max, double Last, Duration Known);
