using KitMesh.Domain.Reports;

namespace KitMesh.Storage.Queries;

/// <summary>One page of reports.</summary>
/// <param name="Reports">The reports, in the order asked for.</param>
/// <param name="Next">Where the next page goes on; null when this was the last.</param>
public sealed record ReportPage(IReadOnlyList<KeptReport> Reports, PagePosition? Next);
