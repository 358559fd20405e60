using KitMesh.Domain.Reports;
using KitMesh.Sync.Journal;
using NodaTime;

namespace KitMesh.Hub.Ingest;

/// <summary>An entry of the journal, decoded once for fold, ledger and store.</summary>
/// <param name="Raw">The original bytes, copied.</param>
/// <param name="Report">What they say.</param>
/// <param name="Arrival">When it was journalled.</param>
/// <param name="Next">Where a replay goes on after it.</param>
internal readonly record struct DecodedEntry(RawReport Raw, Report Report, Instant Arrival, JournalPosition Next);
