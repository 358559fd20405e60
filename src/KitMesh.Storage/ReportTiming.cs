using KitMesh.Domain.Reports;
using NodaTime;

namespace KitMesh.Storage;

/// <summary>Says when a report was written, by what is known of its boot's clock. Called on the store's thread: pure and quick.</summary>
/// <param name="report">The report.</param>
public delegate Instant ReportTiming(Report report);
