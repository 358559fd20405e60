using KitMesh.Domain.Reports;
using NodaTime;

namespace KitMesh.Export.Account;

/// <summary>A copy that failed.</summary>
/// <param name="Time">When.</param>
/// <param name="Drive">The drive; null when the fault lay with the card.</param>
/// <param name="Card">The card; null for a recheck.</param>
/// <param name="Failure">What went wrong.</param>
/// <param name="Detail">What the system said.</param>
public sealed record FailedCopyLine(Instant Time, KitId? Drive, KitId? Card, CopyFailure Failure, string Detail);
