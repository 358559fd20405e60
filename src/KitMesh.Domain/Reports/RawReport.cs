namespace KitMesh.Domain.Reports;

/// <summary>A report as its origin encoded it. These bytes are journalled, passed on and hashed unchanged.</summary>
/// <param name="Key">Where it stands.</param>
/// <param name="Bytes">The encoded report (message <c>kitmesh.v1.Report</c>).</param>
public readonly record struct RawReport(ReportKey Key, ReadOnlyMemory<byte> Bytes);
