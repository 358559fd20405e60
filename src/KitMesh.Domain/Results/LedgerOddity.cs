using KitMesh.Domain.Reports;
using NodaTime;

namespace KitMesh.Domain.Results;

/// <summary>Something in the reports that cannot be right. It is kept and shown and counts for nothing.</summary>
/// <param name="Report">The report that shows it.</param>
/// <param name="Time">Its re-timed instant.</param>
/// <param name="Subject">The drive, card or case it is about.</param>
/// <param name="Clip">The clip it is about, if one.</param>
/// <param name="Message">What is odd and what mends it, for a person.</param>
public sealed record LedgerOddity(ReportKey Report, Instant Time, KitId Subject, ClipHash? Clip, string Message);
