using KitMesh.Domain.Reports;

namespace KitMesh.Domain.State;

/// <summary>A decoded report with the hash of its bytes: what makes it the same fact on every hub.</summary>
/// <param name="Report">The report.</param>
/// <param name="Content">SHA-256 of its bytes.</param>
public readonly record struct ContentReport(Report Report, Sha256Hash Content);
