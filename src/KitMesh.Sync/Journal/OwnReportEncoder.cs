using KitMesh.Domain.Reports;

namespace KitMesh.Sync.Journal;

/// <summary>Encodes one of this node's own reports once the journal has given it a key. Called on the writer's thread; must not block.</summary>
/// <param name="key">The key; sequences have no gaps.</param>
/// <returns>The encoded report.</returns>
public delegate ReadOnlyMemory<byte> OwnReportEncoder(ReportKey key);
