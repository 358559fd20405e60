using KitMesh.Domain.Reports;
using NodaTime;

namespace KitMesh.Sync.Journal;

/// <summary>One report as replay gives it.</summary>
/// <param name="Report">The report, its bytes as the origin encoded them.</param>
/// <param name="Arrival">When it arrived here, by this node's clock.</param>
/// <param name="IsFork">Whether another report of the same key was here first.</param>
/// <param name="Next">Where a later replay goes on after the whole frame that this report came in.</param>
public readonly record struct JournalEntry(RawReport Report, Instant Arrival, bool IsFork, JournalPosition Next);
